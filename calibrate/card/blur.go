package card

import (
	"math"

	"evenhide/colour"
	"evenhide/colour/order"
)

const (
	// blurReach is how far to either side of a step's border, in millimetres, a blur
	// is looked at: nothing else is printed there, and an edge up to 3 mm wide ends
	// within it.
	blurReach, blurPitch = 2.5, 0.1
	blurSamples          = 2*blurReach/blurPitch + 1
	// quartilesToEdge is the width of a Gaussian edge from 10 to 90 % over that from 25
	// to 75 %, 1.2816/0.6745. The quartiles are what is measured: noise and the
	// camera's sharpening move them less.
	quartilesToEdge = 1.900
)

// border is one side of a grey step that looks on bare paper.
type border struct {
	along  []Point // places on it, clear of the number beside it and of the corners
	nx, ny float64 // from ink to paper
}

// borders returns the outer borders of the dark steps: those along the card, above
// and under the rows, and those across it, at the black ends.
func (l Layout) borders() (level, upright []border) {
	const dark = 60 // L* of the lightest that is used
	aside := [4]Millimetres{1.4, 2.6, stepSide - 2.6, stepSide - 1.4}
	for i, s := range l.Steps {
		y, n := s.Box.Y, -1.0
		if i >= stepCount {
			y, n = s.Box.Y+s.Box.H, 1
		}
		if s.L < dark {
			b := border{ny: n}
			for _, d := range aside {
				b.along = append(b.along, Point{s.Box.X + d, y})
			}
			level = append(level, b)
		}
	}
	// The upper row ends in black, the lower begins with it.
	right, left := border{nx: 1}, border{nx: -1}
	for _, d := range aside {
		right.along = append(right.along, Point{stepsX + stepCount*stepSide, upperRow + d})
		left.along = append(left.along, Point{stepsX, lowRow + d})
	}
	return level, []border{right, left}
}

// edgeWidth returns how wide the print's edges are seen, from 10 to 90 % of their
// contrast, in millimetres: the wider of those along and across the card, as a
// hand that shakes blurs one way. It is 0 when no edge can be followed.
func (l light) edgeWidth(m colour.Matrix) float64 {
	level, upright := NewLayout().borders()
	wide := 0.0
	for _, way := range [2][]border{level, upright} {
		var widths []float64
		for _, b := range way {
			if mm, ok := l.width(m, b); ok {
				widths = append(widths, mm)
			}
		}
		if len(widths) > 0 {
			wide = max(wide, order.Ranked(widths, (len(widths)-1)/2)) // something may lie beside one
		}
	}
	return wide
}

// width returns how wide one border is seen, by the mean of the profiles across it.
func (l light) width(m colour.Matrix, b border) (mm float64, ok bool) {
	var mean [blurSamples]float64
	for _, at := range b.along {
		for i := range mean {
			t := float64(i)*blurPitch - blurReach
			p := project(m, Point{at.X + Millimetres(t*b.nx), at.Y + Millimetres(t*b.ny)})
			v, in := l.at(p.X, p.Y)
			if !in {
				return 0, false
			}
			mean[i] += v / float64(len(b.along))
		}
	}
	samples, ok := quartiles(mean[:])
	return quartilesToEdge * blurPitch * samples, ok
}

// quartiles returns how many samples a profile from dark to light takes from 25 to
// 75 % of its contrast, about its middle. ok is false where there is no such border.
func quartiles(profile []float64) (samples float64, ok bool) {
	n := len(profile)
	middle, ok := crossing(profile)
	if !ok {
		return 0, false
	}
	const ends = 5 // samples: half a millimetre
	dark, bright := 0.0, 0.0
	for i := range ends {
		dark, bright = dark+profile[i]/ends, bright+profile[n-1-i]/ends
	}
	// reach walks from the middle to where the profile passes level.
	reach := func(step int, level float64) float64 {
		for i := int(middle) + max(step, 0); i >= 0 && i < n; i += step {
			if (profile[i]-level)*float64(step) >= 0 {
				before := profile[i-step]
				return float64(i) - float64(step)*(profile[i]-level)/(profile[i]-before)
			}
		}
		return math.NaN()
	}
	across := reach(1, dark+.75*(bright-dark)) - reach(-1, dark+.25*(bright-dark))
	return across, !math.IsNaN(across)
}
