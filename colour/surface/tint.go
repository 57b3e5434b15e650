package surface

import (
	"image"
	"math"

	"evenhide/colour"
)

// blockPixels is the side of the squares that JPEG keeps of colour when it halves
// its resolution, as phones do (ITU-T T.81: blocks of 8×8 samples).
const blockPixels = 16

// tints are what is left of the tiles' a* and b* without their parts in proportion
// to L*: what dye does to a tile's colour by its strength is not in them. JPEG adds
// errors to them that are even over a block and other in the next.
type tints struct {
	s  *sheet
	ab [][2]float64
	at []int32 // index and 1 of the tile at each place of the grid; 0 where there is none
}

func (s *sheet) newTints(tr trend) tints {
	cols, rows := s.grid.size()
	t := tints{s, make([][2]float64, len(s.tiles)), make([]int32, cols*rows)}
	var ll, la, lb float64
	for _, r := range tr.residual {
		ll, la, lb = ll+r[0]*r[0], la+r[0]*r[1], lb+r[0]*r[2]
	}
	if ll == 0 {
		ll = 1
	}
	for i, r := range tr.residual {
		t.ab[i] = [2]float64{r[1] - la/ll*r[0], r[2] - lb/ll*r[0]}
		t.at[s.tiles[i].row*cols+s.tiles[i].col] = int32(i + 1)
	}
	return t
}

// blocky returns the mean square ΔE00 of the tints that tiles a block apart do not
// share; m is ΔE00's metric. Stains of another hue are larger than that.
func (t tints) blocky(m [3][3]float64) float64 {
	product := func(p, q [2]float64) float64 {
		return m[1][1]*p[0]*q[0] + m[1][2]*(p[0]*q[1]+p[1]*q[0]) + m[2][2]*p[1]*q[1]
	}
	all := 0.0
	for _, p := range t.ab {
		all += product(p, p) / float64(len(t.ab))
	}
	cols, rows := t.s.grid.size()
	apart := 1 + int(math.Ceil(blockPixels/(t.s.grid.side*float64(t.s.grid.v.f.Cell))))
	shared, step := 0.0, 1+len(t.ab)/sampleTiles
	for _, off := range [2]image.Point{{X: apart}, {Y: apart}} {
		sum, n := 0.0, 0.0
		for i := 0; i < len(t.ab); i += step {
			p := t.ab[i]
			x, y := t.s.tiles[i].col+off.X, t.s.tiles[i].row+off.Y
			if x >= cols || y >= rows || t.at[y*cols+x] == 0 {
				continue
			}
			sum += product(p, t.ab[t.at[y*cols+x]-1])
			n++
		}
		if n > 0 { // of a streak of another hue, along it
			shared = max(shared, sum/n)
		}
	}
	return max(0, all-shared)
}

// metric returns the matrix whose quadratic form is the square of small ΔE00
// about c.
func metric(c colour.Lab, w colour.Weights) (m [3][3]float64) {
	const step = 0.1 // of L*, a*, b*: far above rounding, far below the bend of ΔE00
	square := func(i, j int) float64 {
		var d [3]float64
		d[i] += step
		if j != i {
			d[j] += step
		}
		e := colour.DeltaE2000(c, shift(c, d), w) / step
		return e * e
	}
	for i := range m {
		m[i][i] = square(i, i)
	}
	for i := range m {
		for j := range i {
			m[i][j] = (square(i, j) - m[i][i] - m[j][j]) / 2
			m[j][i] = m[i][j]
		}
	}
	return m
}

// quadratic returns dᵀ·m·d for a symmetric m.
func quadratic(m [3][3]float64, d [3]float64) float64 {
	return m[0][0]*d[0]*d[0] + m[1][1]*d[1]*d[1] + m[2][2]*d[2]*d[2] +
		2*(m[0][1]*d[0]*d[1]+m[0][2]*d[0]*d[2]+m[1][2]*d[1]*d[2])
}
