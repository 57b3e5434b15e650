package calibrate

import (
	"maps"
	"math"
	"slices"
)

// join takes for bare every node that is as light and as neutral as the surface
// says, in areas of some size that lie with the sheet, and draws the sheet's hull
// round them.
func (s *Sheet) join() {
	const stay = 2 // times as far off as a newcomer may what was taken for sheet be
	s.collect(s.n.connected(func(i int) bool {
		allow := float32(1)
		if s.bare[i] {
			allow = stay
		}
		l, t := levelTint(s.off[i])
		return !s.n.bad[i] && !s.card[i] && max(l, -l) <= allow*s.level && t <= allow*s.tint
	}))
}

// collect joins the islands, largest first, as long as sheet or the photo's edge
// lies along the hull: what it crosses may be pieces, but not the bench between
// two sheets.
func (s *Sheet) collect(islands [][]int) {
	const leastIsland, mostOpen = 0.001, 0.15 // of the photo; of the hull's outline
	n := s.n
	islands = slices.DeleteFunc(islands, func(is []int) bool { return float64(len(is)) < leastIsland*float64(len(s.bare)) })
	slices.SortStableFunc(islands, func(a, b []int) int { return len(b) - len(a) })
	clear(s.bare)
	lit := slices.Clone(s.card) // which lies on the sheet
	var hull Polygon
	for _, p := range s.cards {
		hull = append(hull, p...)
	}
	for _, island := range islands {
		for _, i := range island {
			lit[i] = true
		}
	}
	open := 1.0
	for at, island := range islands {
		wider := n.hullOf(hull, island)
		o := n.open(wider, lit)
		if at > 0 && o > max(open, mostOpen) {
			continue
		}
		hull, open = wider, o
		for _, i := range island {
			s.bare[i] = true
		}
	}
	s.outline = hull
	s.hull = n.inside([]Polygon{n.squared(hull)}, 0)
}

// reachIntoShade widens the hull to parts of the sheet that a shadow from outside
// cuts off: plain, neutral areas beside it, on one side only, for a bench lies round
// a sheet.
func (s *Sheet) reachIntoShade(labels []int32) {
	const leastIsland, mostOpen, mostFramed, deepest, mostOfSheet = 0.004, 0.15, 0.4, -0.8, 1.5
	n := s.n
	areas := map[int32][]int{}
	bare := 0
	for i, l := range labels {
		if s.bare[i] {
			bare++
		}
		if l >= 0 && !s.hull[i] && s.shaded(s.off[i]) {
			areas[l] = append(areas[l], i)
		}
	}
	lit := slices.Clone(s.card)
	for i, bare := range s.bare {
		lit[i] = lit[i] || bare
	}
	var all []int
	for _, l := range slices.Sorted(maps.Keys(areas)) {
		nodes := areas[l]
		if level, _ := levelTint(s.median(nodes)); level < deepest || float64(len(nodes)) < leastIsland*float64(len(labels)) {
			continue
		}
		all = append(all, nodes...)
		for _, i := range nodes {
			lit[i] = true
		}
	}
	slices.Sort(all)
	if len(all) == 0 || float64(len(all)) > mostOfSheet*float64(bare) {
		return
	}
	wider := n.hullOf(s.outline, all)
	if n.open(wider, lit) < mostOpen && n.framed(wider) < mostFramed+n.framed(s.outline) {
		s.outline = wider
		s.hull = n.inside([]Polygon{n.squared(wider)}, 0)
	}
}

// framed returns the share of the outline that runs along the field's edge.
func (n *nodes) framed(p Polygon) float64 { return 1 - n.open(p, make([]bool, n.w*n.h)) }

// open returns the share of the outline that has neither a marked node nor the
// field's edge nearby.
func (n *nodes) open(p Polygon, in []bool) float64 {
	const nearby = 3
	open, all := 0, 0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		steps := int(math.Hypot(b.X-a.X, b.Y-a.Y)/float64(n.side)) + 1
		for j := range steps {
			t := float64(j) / float64(steps)
			x, y := int((a.X+t*(b.X-a.X))/float64(n.side)), int((a.Y+t*(b.Y-a.Y))/float64(n.side))
			all++
			if !n.anyNear(in, x, y, nearby) {
				open++
			}
		}
	}
	return float64(open) / float64(max(all, 1))
}

// anyNear reports whether a marked node, or the field's edge, lies within reach
// nodes of x, y.
func (n *nodes) anyNear(in []bool, x, y, reach int) bool {
	if x < reach || y < reach || x >= n.w-reach || y >= n.h-reach {
		return true
	}
	for j := y - reach; j <= y+reach; j++ {
		for i := x - reach; i <= x+reach; i++ {
			if in[j*n.w+i] {
				return true
			}
		}
	}
	return false
}

// hullOf returns the convex hull of a hull and of nodes, given in rising order.
func (n *nodes) hullOf(hull Polygon, nodes []int) Polygon {
	points := slices.Clone(hull)
	for j, i := range nodes { // only the ends of a row can be corners
		if j == 0 || j == len(nodes)-1 || nodes[j-1]/n.w != i/n.w || nodes[j+1]/n.w != i/n.w {
			points = append(points, n.place(i))
		}
	}
	return convex(points)
}

// shade returns the share of the sheet that lies in wide shadows.
func (s *Sheet) shade() float64 {
	count, sheet := 0, 0
	for i, dim := range s.dim {
		switch {
		case dim:
			count++
		case s.bare[i]:
			sheet++
		}
	}
	return float64(count) / float64(max(sheet+count, 1))
}

// dimmed returns the nodes of the sheet that are neutral but darker than its light
// allows, bits beside pieces aside.
func (s *Sheet) dimmed() []bool {
	const narrow = 4 // nodes: what is not twice as wide is a piece's own shadow
	const least = (2*narrow + 1) * (2*narrow + 1)
	dim, count := make([]bool, len(s.off)), 0
	for i, off := range s.off {
		if s.hull[i] && !s.card[i] && s.shaded(off) {
			dim[i] = true
			count++
		}
	}
	if count < least {
		return make([]bool, len(s.off))
	}
	return s.n.grown(s.n.shrunk(dim, narrow), narrow)
}

// shaded reports whether log light off the surface may be sheet in a shadow, whose
// light comes from elsewhere and may have another tint.
func (s *Sheet) shaded(off [3]float32) bool {
	const deepest = -0.9      // six tenths of the light gone
	const tintPerDepth = 0.12 // of the depth, in log light
	l, t := levelTint(off)
	return l < -s.level && l > deepest && t < s.tint-tintPerDepth*l
}
