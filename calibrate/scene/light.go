package scene

import "math"

// shade is how much of the light reaches each place of the sheet.
type shade struct {
	Lighting
	lamp    float64 // scale that makes the lamp's light 1 at the view's centre
	origin  Point
	w, h    int
	covered []float32 // share of the light that lifted items take
}

const shadeStep = 1.0 // mm; shadows are blurred by more

// newShade prepares the light over the box lo..hi of the sheet.
func newShade(sc *Scene, bodies []*body, lo, hi Point) *shade {
	s := &shade{Lighting: sc.Light, origin: lo, lamp: 1}
	if s.Height > 0 {
		s.lamp = 1 / s.fromLamp(sc.View.Centre)
	}
	if s.Shadow <= 0 {
		return s
	}
	s.w, s.h = int((hi.X-lo.X)/shadeStep)+2, int((hi.Y-lo.Y)/shadeStep)+2
	s.covered = make([]float32, s.w*s.h)
	sin, cos := math.Sincos(radians(s.Angle))
	for _, b := range bodies {
		if b.Lift > 0 {
			s.cast(b, Point{b.Lift * s.ShadowLength * cos, b.Lift * s.ShadowLength * sin})
		}
	}
	s.covered = blurred(s.covered, s.w, s.h, max(s.ShadowBlur, 0.5)/shadeStep)
	return s
}

// cast marks what an item covers, moved by the shadow's offset.
func (s *shade) cast(b *body, off Point) {
	r := b.shape.extent
	x0, x1 := s.column(b.Pose.X+off.X-r), s.column(b.Pose.X+off.X+r)
	y0, y1 := s.row(b.Pose.Y+off.Y-r), s.row(b.Pose.Y+off.Y+r)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			p := Point{s.origin.X + float64(x)*shadeStep - off.X, s.origin.Y + float64(y)*shadeStep - off.Y}
			cover := min(max(0.5-b.shape.distance(b.local(p))/shadeStep, 0), 1)
			s.covered[y*s.w+x] = max(s.covered[y*s.w+x], float32(cover))
		}
	}
}

func (s *shade) column(x float64) int {
	return int(min(max((x-s.origin.X)/shadeStep, 0), float64(s.w-1)))
}
func (s *shade) row(y float64) int {
	return int(min(max((y-s.origin.Y)/shadeStep, 0), float64(s.h-1)))
}

// fromLamp returns the light of a small lamp on the level sheet: the cosine law
// over the squared distance.
func (s *shade) fromLamp(p Point) float64 {
	x, y := p.X-s.Lamp.X, p.Y-s.Lamp.Y
	r2 := x*x + y*y + s.Height*s.Height
	return s.Height / (r2 * math.Sqrt(r2))
}

// at returns the light at p, 1 being the undimmed light at the view's centre,
// and how much of it is left where lifted items cast their shadows.
func (s *shade) at(p Point) (light, left float64) {
	light, left = 1, 1
	if s.Height > 0 {
		light = s.fromLamp(p) * s.lamp
	}
	if s.Edge.Depth > 0 {
		sin, cos := math.Sincos(radians(s.Edge.Angle))
		t := min(max((p.X*cos+p.Y*sin-s.Edge.Offset)/max(s.Edge.Width, 0.01)+.5, 0), 1)
		light *= 1 - s.Edge.Depth*t*t*(3-2*t)
	}
	if s.covered != nil {
		x := min(max((p.X-s.origin.X)/shadeStep, 0), float64(s.w)-1.001)
		y := min(max((p.Y-s.origin.Y)/shadeStep, 0), float64(s.h)-1.001)
		left = 1 - s.Shadow*bilinear(s.covered, s.w, x, y)
	}
	return light, left
}
