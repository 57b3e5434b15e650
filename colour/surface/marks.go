package surface

import (
	"math"
	"slices"

	"evenhide/colour"
)

// A mark is a line or speck that is no part of how the dye took: a stitch, a
// crease, a tooled line, a scratch, the rim of a fitting. It is narrow, so that it
// stands out against what lies a tile away on both sides, where dye that took
// unevenly over some millimetres does not. Tiles with a mark and those beside them
// count neither in the colour nor in any figure of unevenness. Of a stain
// with a sharp edge only the edge is a mark.
const (
	// markSigma and markLeast: how far a quarter of a tile is off the mean of its
	// neighbours a tile away, in robust standard deviations and in relative light,
	// before it is a mark. 5 sigma leaves 6 in ten million of normal grain; the
	// pebbles of leather have longer tails and lose a percent. 5 % is 1.2 L* at
	// L* 55, a third of what the faintest crease takes.
	markSigma, markLeast = 5, 0.05
	// markedMost is the share of tiles that marks may take with their neighbours,
	// before the neighbours are kept. Small stitched pieces are mostly rim.
	markedMost = 0.75
)

// unmarked returns the sheet of the tiles clear of marks, or the sheet itself
// when fewer than least would be left.
func (s *sheet) unmarked(least int) *sheet {
	kept := *s
	marked := s.grid.marks()
	if !slices.Contains(marked.is, true) {
		return s
	}
	kept.tiles = make([]tile, 0, len(s.tiles))
	for i := range s.tiles {
		if t := &s.tiles[i]; !marked.any(t.col, t.row) {
			kept.tiles = append(kept.tiles, *t)
		}
	}
	if n := len(kept.tiles); n < least || float64(n) < (1-markedMost)*float64(len(s.tiles)) {
		return s
	}
	return &kept
}

// quarterMap says something of every quarter of a tile, row by row.
type quarterMap struct {
	w, h int
	is   []bool
}

// any reports whether one of the quarters of the tile is.
func (m quarterMap) any(col, row int) bool {
	at := 2*row*m.w + 2*col
	return m.is[at] || m.is[at+1] || m.is[at+m.w] || m.is[at+m.w+1]
}

// marks returns the quarters that a mark touches, and those next to them.
func (g *grid) marks() quarterMap {
	cols, rows := g.size()
	m := quarterMap{2 * cols, 2 * rows, make([]bool, len(g.bins))}
	light := g.light()
	const apart = 2 // quarters: a tile
	for _, along := range [2]struct{ x, y int }{{apart, 0}, {0, apart}} {
		off := make([]float32, len(light))
		for i := range off {
			off[i] = float32(math.NaN())
		}
		step := along.y*m.w + along.x
		for y := along.y; y < m.h-along.y; y++ {
			for i := y*m.w + along.x; i < (y+1)*m.w-along.x; i++ {
				sides := (light[i-step] + light[i+step]) / 2
				off[i] = (light[i] - sides) / max(light[i], sides, 1e-6)
			}
		}
		limit := float32(max(markSigma*spreadOf(off), markLeast))
		for i, o := range off {
			if !(o > limit || o < -limit) {
				continue
			}
			m.is[i] = true
			for _, side := range [2]int{i - step, i + step} {
				if off[side] != off[side] { // at the rim, where a mark shows on its inner side only
					m.is[side] = true
				}
			}
		}
	}
	return m.grown()
}

// light returns the mean luminance of every quarter; NaN where half is left out.
func (g *grid) light() []float32 {
	out := make([]float32, len(g.bins))
	for i := range g.bins {
		b := &g.bins[i]
		out[i] = float32(math.NaN())
		if b.n > 0 && 2*b.n >= b.in {
			out[i] = float32(luminosity(colour.LinearRGB{R: b.r, G: b.g, B: b.b}) / float64(b.n))
		}
	}
	return out
}

// spreadOf returns the robust standard deviation about 0 of a sample of vals
// that are numbers and not 0.
func spreadOf(vals []float32) float64 {
	var some []float64
	for i, step := 0, 1+len(vals)/sampleCells; i < len(vals); i += step {
		if v := float64(vals[i]); v < 0 || v > 0 {
			some = append(some, v)
		}
	}
	return spread(some, 0)
}

// grown returns the map with the eight neighbours of each quarter that is.
func (m quarterMap) grown() quarterMap {
	out := quarterMap{m.w, m.h, make([]bool, len(m.is))}
	for i, is := range m.is {
		if !is {
			continue
		}
		for y := max(i/m.w-1, 0); y <= min(i/m.w+1, m.h-1); y++ {
			for x := max(i%m.w-1, 0); x <= min(i%m.w+1, m.w-1); x++ {
				out.is[y*m.w+x] = true
			}
		}
	}
	return out
}
