package calibrate

import (
	"image"
	"math"
	"slices"
)

// Point is a place on the upright field, in cells: the centre of the first cell
// is 0.5, 0.5.
type Point struct{ X, Y float64 }

// Polygon is a closed outline on the field, without repeated first point.
type Polygon []Point

// across returns where the polygon begins and ends along the line at height y.
func (p Polygon) across(y float64) (from, to []float64) {
	var at []float64
	for i, a := range p {
		b := p[(i+1)%len(p)]
		if (a.Y > y) != (b.Y > y) {
			at = append(at, a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
		}
	}
	for i := range at { // a handful: insertion sort
		for j := i; j > 0 && at[j] < at[j-1]; j-- {
			at[j], at[j-1] = at[j-1], at[j]
		}
	}
	for i := 0; i+1 < len(at); i += 2 {
		from, to = append(from, at[i]), append(to, at[i+1])
	}
	return from, to
}

// convex returns the convex hull of points, by monotone chains.
func convex(points []Point) Polygon {
	slices.SortFunc(points, func(a, b Point) int {
		switch {
		case a.X < b.X || a.X == b.X && a.Y < b.Y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	points = slices.Compact(points)
	var out Polygon
	chain := func(p Point, base int) {
		for len(out) >= base+2 {
			a, b := out[len(out)-2], out[len(out)-1]
			if (b.X-a.X)*(p.Y-a.Y)-(b.Y-a.Y)*(p.X-a.X) > 0 {
				break
			}
			out = out[:len(out)-1]
		}
		out = append(out, p)
	}
	for _, p := range points {
		chain(p, 0)
	}
	base := len(out) - 1
	for _, p := range slices.Backward(points[:max(len(points)-1, 0)]) {
		chain(p, base)
	}
	if len(out) > 1 {
		out = out[:len(out)-1]
	}
	return out
}

// area returns the polygon's area in cells.
func (p Polygon) area() float64 {
	sum := 0.0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += a.X*b.Y - b.X*a.Y
	}
	return max(sum, -sum) / 2
}

// signed returns twice the polygon's area in cells, positive clockwise as seen.
func (p Polygon) signed() float64 {
	sum := 0.0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += a.X*b.Y - b.X*a.Y
	}
	return sum
}

func (p Polygon) box() image.Rectangle {
	if len(p) == 0 {
		return image.Rectangle{}
	}
	lo, hi := p[0], p[0]
	for _, c := range p {
		lo = Point{min(lo.X, c.X), min(lo.Y, c.Y)}
		hi = Point{max(hi.X, c.X), max(hi.Y, c.Y)}
	}
	return image.Rect(int(lo.X), int(lo.Y), int(math.Ceil(hi.X)), int(math.Ceil(hi.Y)))
}

// simple returns the polygon without corners that lie within tolerance of the line
// between those kept (Douglas and Peucker).
func (p Polygon) simple(tolerance float64) Polygon {
	if len(p) < 8 {
		return p
	}
	far := 0
	for i, c := range p {
		if math.Hypot(c.X-p[0].X, c.Y-p[0].Y) > math.Hypot(p[far].X-p[0].X, p[far].Y-p[0].Y) {
			far = i
		}
	}
	keep := make([]bool, len(p))
	keep[0], keep[far] = true, true
	ring := append(p[:len(p):len(p)], p[0])
	type span struct{ from, to int }
	for stack := []span{{0, far}, {far, len(p)}}; len(stack) > 0; {
		sp := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		a, b := ring[sp.from], ring[sp.to]
		length := max(math.Hypot(b.X-a.X, b.Y-a.Y), 1e-9)
		worst, at := tolerance, -1
		for i := sp.from + 1; i < sp.to; i++ {
			if d := math.Abs((b.X-a.X)*(ring[i].Y-a.Y)-(b.Y-a.Y)*(ring[i].X-a.X)) / length; d > worst {
				worst, at = d, i
			}
		}
		if at >= 0 {
			keep[at] = true
			stack = append(stack, span{sp.from, at}, span{at, sp.to})
		}
	}
	out := make(Polygon, 0, 64)
	for i, k := range keep {
		if k {
			out = append(out, p[i])
		}
	}
	return out
}

// squared returns a convex polygon with its cut corners made whole, as long as that
// adds little and stays in the field: a sheet is a rectangle, and what lies in its
// corner hides it.
func (n *nodes) squared(p Polygon) Polygon {
	const tolerance, mostAdded = 1.5, 0.04 // nodes; of the polygon's area
	p = p.simple(tolerance * float64(n.side))
	least := mostAdded * p.area()
	for len(p) > 4 {
		best, at, apex := least, -1, Point{}
		for i := range p {
			a, b, c, d := p[i], p[(i+1)%len(p)], p[(i+2)%len(p)], p[(i+3)%len(p)]
			if x, ok := meet(a, b, d, c); ok && n.within(b) && n.within(c) && n.within(x) {
				if added := (Polygon{b, x, c}).area(); added < best {
					best, at, apex = added, i, x
				}
			}
		}
		if at < 0 {
			break
		}
		p[(at+1)%len(p)] = apex
		p = slices.Delete(p, (at+2)%len(p), (at+2)%len(p)+1)
	}
	return p
}

// within reports whether p lies in the field, its rim left out.
func (n *nodes) within(p Point) bool {
	rim := 2 * float64(n.side)
	return p.X > rim && p.Y > rim && p.X < float64(n.f.W)-rim && p.Y < float64(n.f.H)-rim
}

// meet returns where the lines from a on through b and from d on through c meet
// beyond b and c, and whether they do.
func meet(a, b, d, c Point) (Point, bool) {
	ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, c.X-d.X, c.Y-d.Y
	cross := ux*vy - uy*vx
	if math.Abs(cross) < 1e-9 {
		return Point{}, false
	}
	s := ((d.X-a.X)*vy - (d.Y-a.Y)*vx) / cross
	t := ((d.X-a.X)*uy - (d.Y-a.Y)*ux) / cross
	return Point{a.X + s*ux, a.Y + s*uy}, s >= 1 && t >= 1
}
