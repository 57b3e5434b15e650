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
	n := s.n
	const stay = 2 // times as far off as a newcomer may what was taken for sheet be
	parent := make([]int32, len(s.off))
	for i, off := range s.off {
		parent[i] = -1
		allow := float32(1)
		if s.bare[i] {
			allow = stay
		}
		if l, t := levelTint(off); n.bad[i] || s.card[i] || max(l, -l) > allow*s.level || t > allow*s.tint {
			continue
		}
		parent[i] = int32(i)
		if i%n.w > 0 && parent[i-1] >= 0 {
			unite(parent, int32(i), int32(i-1))
		}
		if i >= n.w && parent[i-n.w] >= 0 {
			unite(parent, int32(i), int32(i-n.w))
		}
	}
	islands := map[int32][]int{}
	for i := range parent {
		if parent[i] >= 0 {
			r := root(parent, int32(i))
			islands[r] = append(islands[r], i)
		}
	}
	s.collect(islands)
}

// collect joins the islands, largest first, as long as sheet or the photo's edge
// lies along the hull: what it crosses may be pieces, but not the bench between
// two sheets.
func (s *Sheet) collect(islands map[int32][]int) {
	const leastIsland, mostOpen = 0.001, 0.15 // of the photo; of the hull's outline
	n := s.n
	var order []int32
	for r, is := range islands {
		if float64(len(is)) >= leastIsland*float64(len(s.bare)) {
			order = append(order, r)
		}
	}
	slices.SortFunc(order, func(a, b int32) int {
		if d := len(islands[b]) - len(islands[a]); d != 0 {
			return d
		}
		return int(a - b)
	})
	clear(s.bare)
	lit := slices.Clone(s.card) // which lies on the sheet
	var hull Polygon
	for _, p := range s.cards {
		hull = append(hull, p...)
	}
	for _, r := range order {
		for _, i := range islands[r] {
			lit[i] = true
		}
	}
	open := 1.0
	for at, r := range order {
		wider := n.hullOf(hull, islands[r])
		o := n.open(wider, lit)
		if at > 0 && o > max(open, mostOpen) {
			continue
		}
		hull, open = wider, o
		for _, i := range islands[r] {
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
	for i, dim := range s.dim() {
		switch {
		case dim:
			count++
		case s.bare[i]:
			sheet++
		}
	}
	return float64(count) / float64(max(sheet+count, 1))
}

// dim returns the nodes of the sheet that are neutral but darker than its light
// allows, bits beside pieces aside.
func (s *Sheet) dim() []bool {
	const narrow = 4 // nodes: what is not twice as wide is a piece's own shadow
	dim := make([]bool, len(s.off))
	for i, off := range s.off {
		dim[i] = s.hull[i] && !s.card[i] && s.shaded(off)
	}
	for range narrow {
		dim = s.n.shrunk(dim)
	}
	for range narrow {
		dim = s.n.grown(dim)
	}
	return dim
}

// shaded reports whether log light off the surface may be sheet in a shadow, whose
// light comes from elsewhere and may have another tint.
func (s *Sheet) shaded(off [3]float32) bool {
	const deepest = -0.9      // six tenths of the light gone
	const tintPerDepth = 0.12 // of the depth, in log light
	l, t := levelTint(off)
	return l < -s.level && l > deepest && t < s.tint-tintPerDepth*l
}
