package surface

import (
	"math"

	"evenhide/colour"
	"evenhide/colour/order"
)

// Damp leather is darker in smooth patches, and water on it shines. From a photo it
// cannot be told apart from dye that took more strongly in one place, so that Damp
// is no more than a reason to feel it. These are its marks; how much darker is
// common practice, no source, with a little to either side.
const (
	dampLeast, dampMost = 5.0, 12.0 // L* that the patch is darker: 6 to 10
	// dampShine is the percent of the region, or of a gap in it, that shines.
	dampShine, dampGap = 0.1, 5.0
	// dampCore is how many tiles of a patch must lie among others of it on every side.
	// Seams, creases and burnished edges are too narrow.
	dampCore = 9
	// Water ends within millimetres, blotches of dye fade out: dampFlat is the least
	// share of the patch that is dampDeep times as dark as its darkest tenth. Patches
	// under 10 mm across are mostly rim, and not told.
	dampFlat, dampDeep = 0.6, 0.75
	// dampHue is the difference of hue, over that of lightness, up to which both
	// are one dye; dampChroma the ratio of their chroma.
	dampHue, dampChroma = 0.3, 2.0
)

// Damp is how much of a surface looks damp: 0, 0 for nothing.
type Damp struct {
	Percent float64 // of the tiles
	L       float64 // by how much the darkest patch is darker than the surface beside it
}

// damp looks for patches that look damp, in a surface of which a share shines or
// about a gap that does: what looks for pieces leaves bright spots out itself.
func (s *sheet) damp(tr trend, shine float64) Damp {
	m := s.newDarkMap(tr)
	var out Damp
	for i := range m.off {
		patch := m.take(i)
		if len(patch) < dampCore || shine < dampShine && !m.lit(patch) {
			continue
		}
		if l := m.looksDamp(patch); l > 0 {
			out.Percent += 100 * float64(len(patch)) / float64(len(s.tiles))
			out.L = max(out.L, l)
		}
	}
	return out
}

// darkMap is the tiles in their places, and how far each is off the trend in L*.
type darkMap struct {
	s    *sheet
	w, h int
	off  []float64 // NaN where there is no tile
	tile []int
	mark []int // the patch that a place was put in, 1 and up
	n    int
	gaps []gap // one a place, nil until asked for
}

func (s *sheet) newDarkMap(tr trend) *darkMap {
	cols, rows := s.grid.size()
	m := &darkMap{s: s, w: cols, h: rows, off: make([]float64, cols*rows), tile: make([]int, cols*rows), mark: make([]int, cols*rows)}
	for i := range m.off {
		m.off[i] = math.NaN()
	}
	for i := range s.tiles {
		t := &s.tiles[i]
		at := t.row*cols + t.col
		m.off[at], m.tile[at] = t.lab.L-tr.level(0, *t), i
	}
	return m
}

// near calls do with the places up to reach tiles from i each way.
func (m *darkMap) near(i, reach int, do func(j, away int)) {
	x, y := i%m.w, i/m.w
	for v := max(y-reach, 0); v <= min(y+reach, m.h-1); v++ {
		for u := max(x-reach, 0); u <= min(x+reach, m.w-1); u++ {
			do(v*m.w+u, max(u-x, x-u, v-y, y-v))
		}
	}
}

// take returns the dark patch, more than half of dampLeast darker, that i lies in,
// and marks it as taken; nil where there is none, or it was taken.
func (m *darkMap) take(i int) []int {
	dark := func(j int) bool { return m.mark[j] == 0 && m.off[j] < -dampLeast/2 }
	if !dark(i) {
		return nil
	}
	m.n++
	m.mark[i] = m.n
	patch := []int{i}
	for k := 0; k < len(patch); k++ {
		m.near(patch[k], 1, func(j, _ int) {
			if dark(j) {
				m.mark[j] = m.n
				patch = append(patch, j)
			}
		})
	}
	return patch
}

// looksDamp returns by how many L* a patch is darker than what lies round it, or 0
// when it has not the marks of damp.
func (m *darkMap) looksDamp(patch []int) float64 {
	n := m.mark[patch[0]]
	var core []int
	for _, i := range patch {
		inside := 0
		m.near(i, 1, func(j, _ int) {
			if m.mark[j] == n || m.gap(j) == shining {
				inside++
			}
		})
		if inside == 9 {
			core = append(core, i)
		}
	}
	if len(core) < dampCore {
		return 0
	}
	inside, off := m.mean(core)
	if off > -dampLeast || off < -dampMost || m.flat(patch) < dampFlat {
		return 0
	}
	ring := m.ring(patch, 2)
	if len(ring) < dampCore {
		return 0
	}
	beside, dry := m.mean(ring)
	one, two := math.Hypot(beside.A, beside.B), math.Hypot(inside.A, inside.B)
	hue := math.Sqrt(max(0, math.Pow(beside.A-inside.A, 2)+math.Pow(beside.B-inside.B, 2)-(one-two)*(one-two))) // ΔH*ab
	if hue > -dampHue*off || max(one, two) > dampChroma*min(one, two) {
		return 0
	}
	return dry - off
}

// flat returns the share of a patch that is nearly as dark as its darkest tenth.
func (m *darkMap) flat(patch []int) float64 {
	offs := make([]float64, len(patch))
	for k, i := range patch {
		offs[k] = m.off[i]
	}
	limit, n := dampDeep*order.Quantile(offs, .1), 0
	for _, off := range offs {
		if off <= limit {
			n++
		}
	}
	return float64(n) / float64(len(offs))
}

// mean returns the mean colour of places, and how far they are off the trend.
func (m *darkMap) mean(places []int) (c colour.Lab, off float64) {
	var all light
	for _, i := range places {
		all.add(m.s.tiles[m.tile[i]].light)
		off += m.off[i] / float64(len(places))
	}
	return m.s.toLab(all.mean()), off
}

// ring returns the tiles that are that far from a patch.
func (m *darkMap) ring(patch []int, far int) (out []int) {
	away := make([]int, len(m.off))
	for i := range away {
		away[i] = far + 1
	}
	for _, i := range patch {
		m.near(i, far, func(j, d int) { away[j] = min(away[j], d) })
	}
	for i, d := range away {
		if d == far && m.off[i] == m.off[i] {
			out = append(out, i)
		}
	}
	return out
}
