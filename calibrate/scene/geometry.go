package scene

import "math"

// Point is a place in millimetres, or in pixels where a name says so: x to the
// right, y down.
type Point struct{ X, Y float64 }

// Circle is a disc in millimetres.
type Circle struct {
	Point
	Radius float64
}

// Line is a straight stroke in millimetres.
type Line struct{ From, To Point }

// Pose is where the origin of an item's own frame lies and by how many degrees
// the frame is turned, clockwise as seen.
type Pose struct{ X, Y, Angle float64 }

// At returns where the point q of the item's frame lies outside it.
func (p Pose) At(q Point) Point {
	sin, cos := math.Sincos(radians(p.Angle))
	return Point{p.X + cos*q.X - sin*q.Y, p.Y + sin*q.X + cos*q.Y}
}

// Then returns the pose of something that lies at inner within the frame of p,
// such as a swatch in the window of a card.
func (p Pose) Then(inner Pose) Pose {
	at := p.At(Point{inner.X, inner.Y})
	return Pose{at.X, at.Y, p.Angle + inner.Angle}
}

// Rect returns a rectangle w by h mm centred on the origin, its corners rounded
// by radius r.
func Rect(w, h, r float64) []Point {
	x, y := w/2-r, h/2-r
	corners := []Point{{x, -y}, {x, y}, {-x, y}, {-x, -y}}
	if r <= 0 {
		return corners
	}
	const steps = 6
	var out []Point
	for i, c := range corners {
		for k := range steps + 1 {
			sin, cos := math.Sincos(math.Pi / 2 * (float64(i) - 1 + float64(k)/steps))
			out = append(out, Point{c.X + r*cos, c.Y + r*sin})
		}
	}
	return out
}

// Strip returns a belt end: a strip of the given length and width whose right
// end comes to a rounded point.
func Strip(length, width float64) []Point {
	out := []Point{{-length / 2, width / 2}, {-length / 2, -width / 2}}
	for i := range 33 {
		t := math.Pi/2 - math.Pi*float64(i)/32
		out = append(out, Point{length/2 - 0.8*width + 0.8*width*math.Cos(t), -width / 2 * math.Sin(t)})
	}
	return out
}

// Fob returns a key fob: a drop of the given length, narrow at the left, where
// its hole goes.
func Fob(length, width float64) []Point {
	var out []Point
	for i := range 64 {
		t := 2 * math.Pi * float64(i) / 64
		x := math.Cos(t)
		out = append(out, Point{length / 2 * x, width / 2 * math.Sin(t) * (0.7 + 0.3*x)})
	}
	return out
}

// segment is one side of an outline with where it starts along it.
type segment struct {
	a, b          Point
	start, length float64
}

func sides(outline []Point) []segment {
	var out []segment
	along := 0.0
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		out = append(out, segment{a, b, along, l})
		along += l
	}
	return out
}

// nearest returns the distance from p to the segment and how far along it, in
// mm, the nearest point lies.
func (s segment) nearest(p Point) (distance, along float64) {
	dx, dy := s.b.X-s.a.X, s.b.Y-s.a.Y
	t := 0.0
	if s.length > 0 {
		t = min(max(((p.X-s.a.X)*dx+(p.Y-s.a.Y)*dy)/(s.length*s.length), 0), 1)
	}
	x, y := p.X-s.a.X-t*dx, p.Y-s.a.Y-t*dy
	return math.Sqrt(x*x + y*y), t * s.length // twice as fast as Hypot, and nothing here overflows
}

// inside reports whether p lies within the outline (even-odd rule).
func inside(outline []Point, p Point) bool {
	in := false
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// shape is an outline with holes as a grid of signed distances: below 0 inside.
type shape struct {
	origin  Point
	size    float64 // mm a grid step
	w, h    int
	d       []float32 // to the outline or a hole
	rim     []float32 // to the outline alone
	extent  float64   // farthest point from the origin of the frame
	outline []Point
	sides   []segment
}

const (
	shapePad  = 2.0 // mm of grid around the outline
	shapeStep = 0.5 // mm; finer than a leather's cut edge is straight
	shapeMax  = 500 // grid steps along the longer side
	farAway   = 1e6
)

func newShape(outline []Point, holes []Circle) *shape {
	s := &shape{outline: outline, sides: sides(outline)}
	lo, hi := bounds(outline)
	for _, p := range outline {
		s.extent = max(s.extent, math.Hypot(p.X, p.Y))
	}
	s.size = max(shapeStep, max(hi.X-lo.X, hi.Y-lo.Y)/shapeMax)
	s.origin = Point{lo.X - shapePad, lo.Y - shapePad}
	s.w = int((hi.X-lo.X+2*shapePad)/s.size) + 2
	s.h = int((hi.Y-lo.Y+2*shapePad)/s.size) + 2
	s.d, s.rim = make([]float32, s.w*s.h), make([]float32, s.w*s.h)
	for i := range s.d {
		p := Point{s.origin.X + float64(i%s.w)*s.size, s.origin.Y + float64(i/s.w)*s.size}
		d := farAway
		for _, side := range s.sides {
			near, _ := side.nearest(p)
			d = min(d, near)
		}
		if inside(outline, p) {
			d = -d
		}
		s.rim[i] = float32(d)
		for _, c := range holes {
			d = max(d, c.Radius-math.Hypot(p.X-c.X, p.Y-c.Y))
		}
		s.d[i] = float32(d)
	}
	return s
}

// distance returns how far p lies outside the shape, in mm; inside it is
// negative, and far outside merely large.
func (s *shape) distance(p Point) float64 { return s.from(s.d, p) }

// inset returns the same from the outline alone, holes aside.
func (s *shape) inset(p Point) float64 { return s.from(s.rim, p) }

func (s *shape) from(grid []float32, p Point) float64 {
	x, y := (p.X-s.origin.X)/s.size, (p.Y-s.origin.Y)/s.size
	if !(x >= 0 && y >= 0 && x < float64(s.w-1) && y < float64(s.h-1)) {
		return farAway
	}
	return bilinear(grid, s.w, x, y)
}

// bilinear returns the value of a grid of width w at x, y, which must lie at
// least one step inside its right and bottom edges.
func bilinear(grid []float32, w int, x, y float64) float64 {
	i, j := int(x), int(y)
	u, v := float32(x-float64(i)), float32(y-float64(j))
	a, b := grid[j*w+i:], grid[(j+1)*w+i:]
	top, bottom := a[0]+u*(a[1]-a[0]), b[0]+u*(b[1]-b[0])
	return float64(top + v*(bottom-top))
}

func bounds(points []Point) (lo, hi Point) {
	lo, hi = Point{farAway, farAway}, Point{-farAway, -farAway}
	for _, p := range points {
		lo.X, lo.Y = min(lo.X, p.X), min(lo.Y, p.Y)
		hi.X, hi.Y = max(hi.X, p.X), max(hi.Y, p.Y)
	}
	return lo, hi
}
