package surface

import (
	"math"

	"evenhide/colour"
	"evenhide/colour/order"
)

const (
	// trimShare of the tiles is left out of the mean at each end. Stitches and
	// scratches rarely cover more of a piece, and beyond them they can move the
	// mean no further than the surface's own extremes. It is kept this small
	// because trimming pulls the mean of a lopsided surface to its median:
	// a fifth of a piece 3 L* lighter counts as a sixth, 0.1 L*.
	trimShare = 0.05
	// blocksLeast is the number of blocks under which their scatter says too
	// little: 12 know a standard deviation to 1/√22 = 21 %.
	blocksLeast = 12
	// patchesShort is how many patches span the short side.
	patchesShort = 6
)

// light is a sum of linear colours.
type light struct {
	r, g, b, n float64
}

func (l *light) add(c colour.LinearRGB) {
	l.r, l.g, l.b, l.n = l.r+c.R, l.g+c.G, l.b+c.B, l.n+1
}

func (l light) mean() colour.LinearRGB {
	return colour.LinearRGB{R: l.r / l.n, G: l.g / l.n, B: l.b / l.n}
}

// mean sets the region's colour from the tiles between the two trimmed ends.
func (s *sheet) mean(rd *Reading) {
	lums := make([]float64, len(s.tiles))
	for i, t := range s.tiles {
		lums[i] = t.lum
	}
	cut := int(trimShare * float64(len(lums)))
	low, high := order.Ranked(lums, cut), order.Ranked(lums, len(lums)-1-cut)
	var camera, developed light
	for _, t := range s.tiles {
		if t.lum >= low && t.lum <= high {
			camera.add(t.camera)
			developed.add(t.light)
			rd.X, rd.Y = rd.X+t.x, rd.Y+t.y
		}
	}
	rd.X, rd.Y = rd.X/developed.n, rd.Y/developed.n
	rd.Mean = camera.mean()
	rd.Lab = s.toLab(developed.mean())
}

// patches returns the region's squares of tiles: those at least half full.
func (s *sheet) patches() []Patch {
	cols, rows := s.grid.size()
	k := max(1, min(cols, rows)/patchesShort)
	w := (cols + k - 1) / k
	sums := make([]light, w*((rows+k-1)/k))
	for _, t := range s.tiles {
		sums[t.row/k*w+t.col/k].add(t.light)
	}
	var out []Patch
	for i, l := range sums {
		if 2*l.n < float64(k*k) {
			continue
		}
		col, row := i%w*k, i/w*k
		out = append(out, Patch{
			Rect: s.grid.rect(col, row, min(k, cols-col), min(k, rows-row)),
			Lab:  s.toLab(l.mean()), Tiles: int(l.n),
		})
	}
	return out
}

// covariance returns the covariance of the region's mean Lab. The variance of a
// mean of n tiles is the tiles' over n only when no two share a blotch. So the
// tiles, less their trend, are averaged over blocks of 1, 2, 4… tiles a side,
// and the block size whose means promise the largest variance is taken. Blocks
// that touch still share blotches along their edges, so that each size falls
// short in proportion to 1/side; the size below shows by how much, and twice one
// less the other makes it up (batch means extrapolated, as in time series).
func (s *sheet) covariance(tr trend) [3][3]float64 {
	var worst, last [3][3]float64
	for k := 1; ; k *= 2 {
		cov, blocks := s.blockCovariance(tr, k)
		if k > 1 && blocks < blocksLeast {
			return worst
		}
		if t := trace(cov); k > 1 && t > trace(last) {
			last, cov = cov, times(cov, 2-trace(last)/t)
		} else {
			last = cov
		}
		if trace(cov) > trace(worst) {
			worst = cov
		}
	}
}

func trace(m [3][3]float64) float64 { return m[0][0] + m[1][1] + m[2][2] }

func times(m [3][3]float64, k float64) [3][3]float64 {
	for i := range m {
		for j := range m {
			m[i][j] *= k
		}
	}
	return m
}

// blockCovariance returns the covariance of the mean from blocks of k×k tiles
// that are at least half full, and how many there are.
func (s *sheet) blockCovariance(tr trend, k int) (cov [3][3]float64, blocks int) {
	cols, rows := s.grid.size()
	w := (cols + k - 1) / k
	sums := make([][4]float64, w*((rows+k-1)/k))
	for i, t := range s.tiles {
		b := &sums[t.row/k*w+t.col/k]
		for c, r := range tr.residual[i] {
			b[c] += r
		}
		b[3]++
	}
	used := 0.0
	for _, b := range sums {
		if 2*b[3] < float64(k*k) {
			continue
		}
		blocks++
		used += b[3]
		for i := range cov {
			for j := range cov {
				cov[i][j] += b[i] * b[j] / (b[3] * b[3])
			}
		}
	}
	// The plane took three degrees of freedom; blocks left out at the edges
	// still count with their tiles.
	share := max(float64(blocks)-3, 1) * float64(blocks) * float64(len(s.tiles)) / max(used, 1)
	return times(cov, 1/share), blocks
}

// toLab returns the Lab colour, D65, 2°, of working-space light.
func (s *sheet) toLab(c colour.LinearRGB) colour.Lab {
	return colour.XYZToLab(s.space.XYZ(c), s.space.White)
}

// perL is how much of a relative change of luminance is one L* at lightness l:
// dL* = perL · dY/Y. It is (L*+16)/3 above the straight part of CIELAB, and L*
// itself on it.
func perL(l float64) float64 {
	if l < 8 {
		return max(l, 0)
	}
	return (l + 16) / 3
}

// contrast is the slope of developed against camera luminance, log over log, at
// the region's mean: by it the grain of the camera's light becomes that of the
// leather's.
func (s *sheet) contrast(at colour.LinearRGB, x, y float64) float64 {
	const step = 1.01
	one := luminosity(s.dev(x, y, at))
	two := luminosity(s.dev(x, y, colour.LinearRGB{R: step * at.R, G: step * at.G, B: step * at.B}))
	slope := math.Log(two/one) / math.Log(step)
	if math.IsNaN(slope) || math.IsInf(slope, 0) {
		return 1
	}
	return slope
}
