package calibrate

import (
	"math"

	"evenhide/colour/order"
)

// flatten sets off, and from the scatter of the bare nodes how far bare sheet may
// be from its surface.
func (s *Sheet) flatten() {
	n := s.n
	if s.off == nil {
		s.off = make([][3]float32, len(n.log))
	}
	inBands(n.h, func(from, to int) {
		for y := from; y < to; y++ {
			s.flattenRow(y)
		}
	})
	var levels, away, tints []float64
	for i, bare := range s.bare {
		if bare && i%7 == 0 {
			l, t := levelTint(s.off[i])
			levels, away, tints = append(levels, float64(l)), append(away, math.Abs(float64(l))), append(tints, float64(t))
		}
	}
	s.brighter = order.Quantile(levels, brighter)
	const wide = 3.5 // standard deviations: bare sheet stays in one piece
	// Three quarters of normal noise are within 1.15 of its deviation, and the length
	// of a vector of two within 1.67. Noise is larger where it is darker.
	s.level = float32(min(max(wide/1.15*order.Quantile(away, .75), leastLevel), mostLevel))
	s.tint = float32(min(max(wide/1.67*order.Quantile(tints, .75), leastTint), mostLevel))
}

// flattenRow takes the surface off one row of nodes. Along a row it is a parabola
// in x, with the lens's term on it.
func (s *Sheet) flattenRow(y int) {
	n := s.n
	a := s.Light.terms(n.place(y * n.w))
	step := float64(n.side) / s.Light.scale
	for k, c := range s.Light.channels {
		lens := c[lightTerms-1]
		slope, bend := c[1]+2*c[3]*a[1]+c[4]*a[2], c[3]
		at := c.dot(a) - lens*a[lightTerms-1]
		for x := range n.w {
			t := float64(x) * step
			r2 := (a[1]+t)*(a[1]+t) + a[5]
			s.off[y*n.w+x][k] = n.log[y*n.w+x][k] - float32(at+t*(slope+t*bend)+lens*r2*r2)
		}
	}
}

// levelTint splits log light into what the channels share, weighed about as
// luminance, and how far they are from sharing it.
func levelTint(c [3]float32) (level, tint float32) {
	level = .3*c[0] + .6*c[1] + .1*c[2]
	u, v := c[0]-c[1], c[2]-c[1]
	return level, float32(math.Sqrt(float64(u*u + v*v - u*v)))
}
