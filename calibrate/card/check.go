package card

import (
	"math"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

const (
	minSeen = 0.6 // share of all edges that must agree with the fit; leather may hide the windows' angles
	// At least minMiddle of the edges between the codes must lie within
	// middleSlack millimetres, or the card curls: steps are read 1 mm inside.
	minMiddle, middleSlack = 0.6, 0.5
	// When one code alone gave the place there is less to go by, and more is asked.
	oneCodeMiddle, oneCodeSlack = 0.7, 0.25
	// maxResidual is the root mean square of the edges in millimetres. A flat
	// card has a tenth of it; at a quarter the steps, read 1 mm inside their
	// border, are still read whole.
	maxResidual = 0.25
	minAspect   = 0.6  // short over long side of a square at the card's middle: 53° of tilt
	maxSpread   = 3.0  // of the largest scale of the card's corners to the smallest: 35° of tilt from 200 mm has 2.1
	stepSlack   = 0.04 // of square-root luminance by which a step may be darker than the next darker one: noise and light
	maxUnruly   = 2    // such steps a row: the edges of one shadow across it
)

func bent(format string, args ...any) error {
	return refusal.New(ErrGeometry, "lay the card flat, hold the phone straight above it and take the photo again", format, args...)
}

// check refuses a place that no flat card seen from above can have, or whose
// steps do not read as the card's.
func (l light) check(place fitted) error {
	if !sane(place.toCells) {
		return bent("the card is tilted too far")
	}
	x, y := jacobian(place.toCells, Point{cardW / 2, cardH / 2})
	perMM := math.Sqrt(math.Abs(x.X*y.Y - x.Y*y.X))
	if off := place.residual / perMM; off > maxResidual || place.seen < minSeen {
		return bent("the card's print is %.2f mm off a flat card and %.0f %% of it agrees, wanted at most %.2f mm and %.0f %%",
			off, 100*place.seen, maxResidual, 100*minSeen)
	}
	if share := l.agree(place.toCells, NewLayout().middleEdges(), middleSlack); share < minMiddle {
		return bent("the card curls or is covered: %.0f %% of the print between its codes is in place, wanted %.0f %%", 100*share, 100*minMiddle)
	}
	return l.checkSteps(place.toCells)
}

// sane reports whether m can be a flat card seen from above, not mirrored.
func sane(m colour.Matrix) bool {
	if !finite(m) {
		return false
	}
	if x, y := jacobian(m, Point{cardW / 2, cardH / 2}); aspect(x, y) < minAspect {
		return false
	}
	lo, hi := math.Inf(1), 0.0
	for _, p := range (Box{0, 0, cardW, cardH}).Corners() {
		x, y := jacobian(m, p)
		area := x.X*y.Y - x.Y*y.X
		ahead := m[2][0]*float64(p.X)+m[2][1]*float64(p.Y)+m[2][2] > 0
		if !ahead || !(area > 0) {
			return false
		}
		lo, hi = min(lo, math.Sqrt(area)), max(hi, math.Sqrt(area))
	}
	return hi < maxSpread*lo
}

// aspect returns the short over the long axis of the ellipse that a small circle
// becomes when a millimetre along the axes becomes x and y.
func aspect(x, y Pixel) float64 {
	area := x.X*y.Y - x.Y*y.X
	norm := x.X*x.X + x.Y*x.Y + y.X*y.X + y.Y*y.Y
	root := math.Sqrt(max(norm*norm-4*area*area, 0))
	return math.Sqrt(max(norm-root, 0) / (norm + root))
}

// checkSteps refuses a card whose rows do not run evenly from paper to black and
// back, or are not wholly in the photo.
func (l light) checkSteps(m colour.Matrix) error {
	layout := NewLayout()
	for row := range 2 {
		var level [stepCount]float64
		for i := range level {
			nth := i // from the paper's white
			if row == 1 {
				nth = stepCount - 1 - i
			}
			v, ok := l.step(m, layout.Steps[row*stepCount+i].Box)
			if !ok {
				return bent("the card is not wholly in the photo")
			}
			level[nth] = math.Sqrt(max(v, 0))
		}
		unruly := 0
		for i := 1; i < stepCount; i++ {
			if level[i] > level[i-1]+stepSlack*level[0] {
				unruly++
			}
		}
		if unruly > maxUnruly || level[stepCount-1] > level[0]*0.9 {
			return refusal.New(ErrGeometry, "keep leather, hands and hard shadows off the grey steps and take the photo again",
				"the grey steps of the card are not in order: %d of %d are out of place", unruly, stepCount)
		}
	}
	return nil
}

// step returns the mean luminance of 25 places inside a step.
func (l light) step(m colour.Matrix, b Box) (float64, bool) {
	const grid = 5
	inside, sum := b.Inset(1.5), 0.0
	for i := range grid * grid {
		p := project(m, Point{inside.X + inside.W*Millimetres(i%grid)/(grid-1), inside.Y + inside.H*Millimetres(i/grid)/(grid-1)})
		v, ok := l.at(p.X, p.Y)
		if !ok {
			return 0, false
		}
		sum += v
	}
	return sum / (grid * grid), true
}
