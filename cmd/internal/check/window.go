package check

import (
	"cmp"
	"errors"

	"evenhide/calibrate"
	"evenhide/calibrate/card"
	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/dye"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// reference is the colour that pieces are held against, and where it was read.
type reference struct {
	tolerance.Estimate
	told     report.Reference
	model    tolerance.Model
	sameCard bool             // it was read by this card, wrong in the same way, in another photo
	doubt    colour.Matrix    // of Lab, besides, where strength is told by it
	note     string           // what the reader should know of it
	from     []calibrate.From // where the light is as the reference has it
	places   int              // of the hide that it is the mean of; 0 is one
}

func (r reference) sample() dye.Sample {
	s := sample(r.Estimate)
	s.Places = r.places
	return s
}

// errNoPiece is the kind of refusal for an empty sheet.
var errNoPiece = errors.New("no piece")

// errNoSwatch is that of an empty swatch window.
var errNoSwatch = errors.New("no swatch")

// leastTiles is what a swatch must have: it is small, and only its mean is wanted.
const leastTiles = 9

// reference returns the colour to hold pieces against: as given, or the swatch at
// the place given, or what lies in the card's window, or the one kept.
func (b *bench) reference() (reference, error) {
	if lab := b.rq.Reference; lab != nil {
		ref := reference{Estimate: tolerance.Estimate{Lab: *lab}, model: tolerance.OtherLight(), sameCard: b.rq.SameLight,
			told: report.Reference{Source: report.Given, Lab: report.Triple(*lab)}}
		ref.from = b.middle()
		if b.rq.SameLight {
			ref.model = tolerance.SameLight()
		}
		return ref, nil
	}
	const nothing = "lay the swatch in the card's window, keep one for --colour (evenhide swatch keep --help), or give --swatch X,Y,W,H or --reference L,a,b"
	what := "the swatch in the card's window"
	var r surface.Reading
	var err error
	switch {
	case b.rq.Swatch != nil:
		what = b.rq.Swatch.Option
		r, err = b.read(surface.Region{Rect: b.field.Cells(b.rq.Swatch.Rect)})
	case b.found != nil:
		r, err = b.read(b.window(b.card.Swatch))
		switch empty := err == nil && b.isPaper(r.Lab); {
		case empty && b.rq.Kept != nil:
			return b.kept(*b.rq.Kept), nil
		case empty:
			return reference{}, refusal.New(errNoSwatch, nothing, "nothing to compare with: the card's swatch window is empty")
		}
	case b.rq.Kept != nil:
		return b.kept(*b.rq.Kept), nil
	default:
		return reference{}, refusal.New(nil, nothing, "nothing to compare with")
	}
	if err != nil {
		return reference{}, refusal.New(err, retakeHint(err), "%s cannot be measured: %v", what, err)
	}
	return reference{Estimate: b.estimate(piece{}, r), model: tolerance.InFrame(), note: b.rq.Kept.doubted(r.Lab), from: []calibrate.From{{X: r.X, Y: r.Y, Share: 1}},
		told: report.Reference{Source: report.InFrame, Lab: report.Triple(r.Lab)}}, nil
}

// hide returns the bare hide in the card's window; nil when there is none.
func (b *bench) hide() (*tolerance.Estimate, error) {
	if b.found == nil {
		return nil, nil
	}
	r, err := b.read(b.window(b.card.Hide))
	if err != nil {
		return nil, refusal.New(err, retakeHint(err), "the hide in the card's window cannot be measured: %v", err)
	}
	if b.isPaper(r.Lab) {
		return nil, nil
	}
	const palest = 8 // C*: bare leather has twice that, and no white balance takes it away
	if c := r.Lab.LCh().C; c < palest {
		return nil, refusal.New(nil, "switch filters off and take the photo again; lay bare leather in the hide window, or leave it empty",
			"the hide in the card's window has hardly any colour (C* %.0f): a filter, or no bare leather", c)
	}
	b.hidden = true
	e := b.estimate(piece{}, r)
	return &e, nil
}

// colourless reports whether the photo is black and white.
func colourless(f *colour.Field) bool {
	const stride, least = 97, 0.002 // cells; linear light: under a code of 8 bits
	for i := 0; i+2 < len(f.RGB); i += 3 * stride {
		if r, g, b := f.RGB[i], f.RGB[i+1], f.RGB[i+2]; max(r, g, b)-min(r, g, b) > least {
			return false
		}
	}
	return true
}

const windowMargin = 4 // mm of 25

// window returns the inside of a window, clear of the edges and the shadows of
// leather that does not fill it.
func (b *bench) window(box card.Box) surface.Region {
	return b.region(box, windowMargin)
}

// isPaper reports whether a window that reads c shows the card's own paper: it is
// empty.
func (b *bench) isPaper(c colour.Lab) bool {
	paper := colour.Lab{L: b.card.Steps[0].L}
	for _, s := range b.cal.Steps {
		if s.Used { // from dark to light: the last is the lightest
			x, y := s.Centre()
			seen := b.cal.LabAt(x, y, s.Mean)
			paper.A, paper.B = seen.A, seen.B
		}
	}
	const alike = 5 // ΔE*ab: more than paper and light vary, less than any dyed leather differs
	return colour.DeltaE76(paper, c) < alike
}

// read measures a window or a swatch and refuses what is mostly glare.
func (b *bench) read(r surface.Region) (surface.Reading, error) {
	out, err := b.measure(piece{region: r}, leastTiles)
	if err == nil {
		err = tooMuchLeftOut(out)
	}
	return out, err
}

// in returns the calibration in the light on p.
func (b *bench) in(p piece) *calibrate.Calibration { return cmp.Or(p.cal, b.cal) }

func (b *bench) measure(p piece, least int) (surface.Reading, error) {
	r := p.region
	x, y := float64(r.Rect.Min.X+r.Rect.Max.X)/2, float64(r.Rect.Min.Y+r.Rect.Max.Y)/2
	o := surface.Options{MinTiles: least, Weights: b.rq.Weights, CellsPerMM: b.cellsPerMM(x, y)}
	rd, err := surface.Measure(b.field, r, b.in(p).DevelopAt, o)
	b.mu.Lock()
	defer b.mu.Unlock()
	b.readings = append(b.readings, reading{r, o, rd.Patches})
	return rd, err
}

func (b *bench) estimate(p piece, r surface.Reading) tolerance.Estimate {
	return tolerance.Estimate{Lab: r.Lab, Cov: r.Cov, Shared: b.in(p).ShiftsAt(r.X, r.Y, r.Mean), Lit: b.in(p).BrightnessAt(r.X, r.Y)}
}

// middle is where the light is taken for what it is on the card.
func (b *bench) middle() []calibrate.From { return []calibrate.From{b.cal.Middle()} }

// estimateFrom is estimate with what the light may be wrong by between the places from and
// the reading.
func (b *bench) estimateFrom(from []calibrate.From, p piece, r surface.Reading) tolerance.Estimate {
	e := b.estimate(p, r)
	e.Cov = e.Cov.Add(b.in(p).LightCov(from, r.X, r.Y, r.Mean))
	return e
}
