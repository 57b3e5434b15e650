package check

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenhide/calibrate"
	"evenhide/calibrate/card"
	"evenhide/calibrate/photo"
	"evenhide/calibrate/refusal"
	"evenhide/colour"
	"evenhide/colour/surface"
)

// CardReading is what a printer made of a card's greys, by what was bought.
type CardReading struct {
	card.Measured
	Nominal  []float64 // L* that was asked for, by level
	Warnings []string
}

// How many different bought greys tell a tone curve, and how many tell it well: on
// rendered photos of usual quality three left the worst printed grey off by up to
// 2.2 L*, six by up to 0.6, and the paper by up to 1.2.
const contrastGreys, enoughGreys = 3, 6

// MeasureCard reads the greys of the card in the photo at path against greys of
// known L* in the same photo, whose places and L* greys has. The light is taken
// off by the sheet under both.
//
// With three different greys or more the camera's tone curve is fitted to them
// and every printed grey read by it. With fewer it is fitted to the greys that
// the card was asked for, and all reflectances are scaled so that the bought ones
// come out right.
func MeasureCard(path string, greys []Place, maxPixels int) (CardReading, error) {
	wrap := func(err error) (CardReading, error) { return CardReading{}, fmt.Errorf("%s: %w", path, err) }
	p, err := photo.Open(path, photo.Limits{MaxPixels: maxPixels})
	if err != nil {
		return CardReading{}, err
	}
	if err := (Request{Greys: greys}).inside(p); err != nil {
		return wrap(err)
	}
	b, err := Request{}.bench(p.Field)
	if err == nil && b.sheet == nil {
		err = refusal.New(nil, "lay the card and the bought greys side by side on one plain white sheet",
			"no plain sheet was found that tells how the light falls")
	}
	if err != nil {
		return wrap(err)
	}
	out, err := b.measureCard(greys)
	if err != nil {
		return wrap(err)
	}
	return out, nil
}

func (b *bench) measureCard(greys []Place) (CardReading, error) {
	out := CardReading{Measured: card.Measured{Layout: b.card.Version, Serial: b.found.Serial}}
	bought, err := b.fitBought(greys)
	if err != nil {
		return out, err
	}
	cal, scale := bought, 1.0
	n := different(greys)
	if out.LevelOnly = n < contrastGreys; out.LevelOnly {
		cal = b.cal
		scale = scaleOf(cal, bought.Steps)
	}
	if out.Nominal, out.L, err = b.levels(cal, scale); err != nil {
		return out, err
	}
	out.Warnings = slices.Clone(b.sheet.Warnings)
	switch {
	case out.LevelOnly:
		out.Warnings = append(out.Warnings, "only the level is measured, not the contrast: give six bought greys for both")
	case n < enoughGreys:
		out.Warnings = append(out.Warnings, fmt.Sprintf("%d bought greys leave the printed ones uncertain by about 2 L*, six by 1", n))
	}
	if !out.LevelOnly {
		out.Warnings = append(out.Warnings, bought.Warnings...)
	}
	return out, out.Check()
}

// fitBought fits the camera to the bought greys alone. All of them must be usable:
// each was put there on purpose.
func (b *bench) fitBought(greys []Place) (*calibrate.Calibration, error) {
	printed := b.region(card.Box{W: b.card.W, H: b.card.H}, 0)
	var steps []calibrate.Step
	for _, g := range greys {
		at := b.field.Cells(g.Rect)
		if overlap(printed, surface.Region{Rect: at}) {
			return nil, refusal.New(nil, "give the places of greys that were bought, beside the printed card", "%s lies on the card itself", g.Option)
		}
		steps = append(steps, calibrate.Step{Region: surface.Region{Rect: at}, L: g.L})
	}
	cal, err := calibrate.Fit(b.field, steps)
	if err == nil {
		cal, err = cal.In(b.sheet.Light)
	}
	if err != nil {
		return nil, err
	}
	for _, s := range cal.Steps {
		if !s.Used {
			return nil, refusal.New(calibrate.ErrGrey, "see that its place lies well inside it, and take the photo again with softer light if it does",
				"the bought grey of L* %.3g cannot be used: %s", s.L, s.Why)
		}
	}
	return cal, nil
}

// overlap reports whether a cell of a lies in the rectangle of b.
func overlap(a, b surface.Region) bool {
	r := a.Rect.Intersect(b.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := a.In[(y-a.Rect.Min.Y)*a.Rect.Dx():]
		if slices.Contains(row[r.Min.X-a.Rect.Min.X:r.Max.X-a.Rect.Min.X], true) {
			return true
		}
	}
	return false
}

// different returns how many different L* the greys have.
func different(greys []Place) int {
	seen := map[float64]bool{}
	for _, g := range greys {
		seen[g.L] = true
	}
	return len(seen)
}

// scaleOf returns the factor of reflectance by which cal reads bought greys too
// dark: the geometric mean over them.
func scaleOf(cal *calibrate.Calibration, bought []calibrate.StepReading) float64 {
	log := 0.0
	for _, s := range bought {
		x, y := s.Centre()
		log += math.Log(colour.Luminance(s.L) / colour.Luminance(max(cal.LabAt(x, y, s.Mean).L, 1)))
	}
	return math.Exp(log / float64(len(bought)))
}

// levels reads the printed greys: by level, what was asked for and the mean L* of
// its copies, each in the light where it lies.
func (b *bench) levels(cal *calibrate.Calibration, scale float64) (nominal, measured []float64, err error) {
	copies := map[int][]float64{}
	why := map[int]string{}
	for _, s := range b.card.Steps {
		r := b.stepReading(s)
		if !r.Used {
			why[s.Level] = r.Why
			continue
		}
		x, y := r.Centre()
		l := colour.Lightness(scale * colour.Luminance(cal.LabAt(x, y, r.Mean).L))
		copies[s.Level] = append(copies[s.Level], l)
	}
	for _, s := range b.card.Steps {
		if s.Level != len(nominal) {
			continue // its copy, which is in copies already
		}
		l := copies[s.Level]
		if len(l) == 0 {
			return nil, nil, refusal.New(calibrate.ErrGrey, "keep shadows and shine off the card and take the photo again",
				"grey %d of the card cannot be read: %s", s.Level+1, why[s.Level])
		}
		const mostApart = 2.0 // L*: more than noise and the light's fit leave
		if apart := slices.Max(l) - slices.Min(l); apart > mostApart {
			return nil, nil, refusal.New(calibrate.ErrGrey, "lay the card flat in soft, even light, without shine, and take the photo again",
				"the two copies of grey %d read %.1f L* apart, at most %.1f", s.Level+1, apart, mostApart)
		}
		nominal, measured = append(nominal, s.L), append(measured, floats.Sum(l)/float64(len(l)))
	}
	return nominal, measured, nil
}

// stepReading returns what was read of a step of the card.
func (b *bench) stepReading(s card.Step) calibrate.StepReading {
	rect := b.region(s.Box, stepMargin).Rect
	return b.cal.Steps[slices.IndexFunc(b.cal.Steps, func(r calibrate.StepReading) bool { return r.Rect == rect })]
}
