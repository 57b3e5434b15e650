package check

import (
	"evenhide/calibrate/card"
	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// reference is the colour that pieces are held against, and where it was read.
type reference struct {
	tolerance.Estimate
	source string
	model  tolerance.Model
	x, y   float64 // cells; of no meaning for a given reference
}

// leastTiles is what a swatch must have: it is small, and only its mean is wanted.
const leastTiles = 9

// reference returns the colour to hold pieces against: as given, or the swatch at
// the place given, or what lies in the card's window.
func (b *bench) reference() (reference, error) {
	if lab := b.rq.Reference; lab != nil {
		ref := reference{Estimate: tolerance.Estimate{Lab: *lab}, source: report.Given, model: tolerance.OtherLight()}
		if b.rq.SameLight {
			ref.model = tolerance.SameLight()
		}
		return ref, nil
	}
	const nothing = "give --swatch X,Y,W,H or --reference L,a,b, or lay the swatch in the card's window"
	what := "the swatch in the card's window"
	var where surface.Region
	switch {
	case b.rq.Swatch != nil:
		what, where = b.rq.Swatch.Option, surface.Region{Rect: b.field.Cells(b.rq.Swatch.Rect)}
	case b.found != nil:
		where = b.window(b.card.Swatch)
		if b.empty(where) {
			return reference{}, refusal.New(nil, nothing, "nothing to compare with: the card's swatch window is empty")
		}
	default:
		return reference{}, refusal.New(nil, nothing, "nothing to compare with")
	}
	r, err := b.measure(where, leastTiles)
	if err == nil {
		err = tooMuchLeftOut(r)
	}
	if err != nil {
		return reference{}, refusal.New(err, retakeHint(err), "%s cannot be measured: %v", what, err)
	}
	return reference{b.estimate(r), report.InFrame, tolerance.InFrame(), r.X, r.Y}, nil
}

// hide returns the bare hide in the card's window; nil when there is none.
func (b *bench) hide() (*tolerance.Estimate, error) {
	if b.found == nil {
		return nil, nil
	}
	where := b.window(b.card.Hide)
	if b.empty(where) {
		return nil, nil
	}
	r, err := b.measure(where, leastTiles)
	if err == nil {
		err = tooMuchLeftOut(r)
	}
	if err != nil {
		return nil, refusal.New(err, retakeHint(err), "the hide in the card's window cannot be measured: %v", err)
	}
	e := b.estimate(r)
	return &e, nil
}

const windowMargin = 4 // mm of 25

// window returns the inside of a window, clear of the edges and the shadows of
// leather that does not fill it.
func (b *bench) window(box card.Box) surface.Region {
	return b.region(box, windowMargin)
}

// empty reports whether a window shows the card's own paper.
func (b *bench) empty(where surface.Region) bool {
	r, err := b.measure(where, leastTiles)
	if err != nil {
		return false // glare, perhaps: the reading will say so
	}
	const alike = 5 // ΔE*ab: more than paper and light vary, less than any dyed leather differs
	paper := b.paper()
	return colour.DeltaE76(paper, r.Lab) < alike
}

// paper returns the colour of the card's bare paper: its lightest steps.
func (b *bench) paper() colour.Lab {
	steps := b.cal.Steps
	s := steps[len(steps)-1]
	x, y := s.Centre()
	return b.cal.LabAt(x, y, s.Mean)
}

func (b *bench) measure(r surface.Region, least int) (surface.Reading, error) {
	x, y := float64(r.Rect.Min.X+r.Rect.Max.X)/2, float64(r.Rect.Min.Y+r.Rect.Max.Y)/2
	o := surface.Options{MinTiles: least, Weights: b.rq.Weights, CellsPerMM: b.cellsPerMM(x, y)}
	rd, err := surface.Measure(b.field, r, b.cal.DevelopAt, o)
	b.mu.Lock()
	defer b.mu.Unlock()
	b.readings = append(b.readings, reading{r, o, rd.Patches})
	return rd, err
}

func (b *bench) estimate(r surface.Reading) tolerance.Estimate {
	return tolerance.Estimate{Lab: r.Lab, Cov: r.Cov, Shared: b.cal.ShiftsAt(r.X, r.Y, r.Mean)}
}
