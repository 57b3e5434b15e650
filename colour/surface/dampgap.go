package surface

// gap is what a place without a tile belongs to.
type gap uint8

const (
	open    gap = iota // the tiles, or what lies round the region
	shut               // a hole or a fitting
	shining            // a shine, or a fitting that shines
)

// lit reports whether a gap that shines lies in a patch or beside it; its skirt may
// come between.
func (m *darkMap) lit(patch []int) (lit bool) {
	const skirt = 2 // tiles
	for _, i := range patch {
		m.near(i, skirt, func(j, _ int) { lit = lit || m.gap(j) == shining })
	}
	return lit
}

// gap returns what place i belongs to.
func (m *darkMap) gap(i int) gap {
	if m.gaps == nil {
		m.findGaps()
	}
	return m.gaps[i]
}

func (m *darkMap) findGaps() {
	m.gaps = make([]gap, len(m.off))
	seen := make([]bool, len(m.off))
	for i := range m.off {
		places, enclosed := m.without(i, seen)
		if !enclosed {
			continue
		}
		kind := shut
		if m.shines(places) {
			kind = shining
		}
		for _, j := range places {
			m.gaps[j] = kind
		}
	}
}

// without returns the places without a tile that hang together with i, unless they
// were seen, and whether the region closes round them.
func (m *darkMap) without(i int, seen []bool) (places []int, enclosed bool) {
	bare := func(j int) bool { return !seen[j] && m.off[j] != m.off[j] }
	if !bare(i) {
		return nil, false
	}
	seen[i], places, enclosed = true, []int{i}, true
	for k := 0; k < len(places); k++ {
		x, y := places[k]%m.w, places[k]/m.w
		enclosed = enclosed && x > 0 && y > 0 && x < m.w-1 && y < m.h-1
		m.near(places[k], 1, func(j, _ int) {
			if bare(j) {
				seen[j] = true
				places = append(places, j)
			}
		})
	}
	return places, enclosed
}

// shines reports whether enough of the cells of a gap have the lamp's light on top
// of the leather's.
func (m *darkMap) shines(places []int) bool {
	g := m.s.grid
	lit, all := 0, 0
	for _, i := range places {
		r := g.rect(i%m.w, i/m.w, 1, 1)
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				c := g.v.at(x, y)
				all++
				if c.y > g.limits.high && g.limits.lampLike(c.r, c.g, c.b) {
					lit++
				}
			}
		}
	}
	return float64(lit) > dampGap/100*float64(all)
}
