package check

import (
	"fmt"
	"time"

	"evenhide/calibrate/photo"
	"evenhide/calibrate/refusal"
	"evenhide/colour"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// Swatch is what one photo tells of a swatch that is to be kept.
type Swatch struct {
	File     string
	Camera   string    // "" when the photo does not say
	Taken    time.Time // zero when the photo does not say
	Card     string    // its serial, "" with greys of another make
	Measured bool      // the card's greys were measured
	Lab      colour.Lab
	Cov      colour.Matrix // of Lab, with the same card
	Print    colour.Matrix // what comes to it with another card
	Warnings []string
}

// ReadSwatch reads the swatch in the photo at path: the one piece that rq names, or
// what lies in the card's window, or, when that is empty, the one piece on the
// sheet.
func ReadSwatch(path string, rq Request) (Swatch, error) {
	p, err := photo.Open(path, photo.Limits{MaxPixels: rq.MaxPixels})
	if err != nil {
		return Swatch{}, err
	}
	wrap := func(err error) (Swatch, error) { return Swatch{}, fmt.Errorf("%s: %w", path, err) }
	if err := rq.inside(p); err != nil {
		return wrap(err)
	}
	p, b, err := rq.benchOf(path, p)
	if err != nil {
		return wrap(err)
	}
	r, err := b.swatch()
	if err != nil {
		return wrap(err)
	}
	out := Swatch{File: path, Camera: p.Camera, Taken: p.Taken, Measured: b.measured, Lab: r.Lab, Warnings: b.calibration().Warnings}
	if b.found != nil {
		out.Card = b.found.Serial
	}
	out.Cov = colour.Matrix(r.Cov).Add(b.cal.LightCov(b.middle(), r.X, r.Y, r.Mean))
	for _, s := range b.cal.ShiftsAt(r.X, r.Y, r.Mean) {
		out.Print = out.Print.Add(colour.Outer([3]float64{s.L, s.A, s.B}))
	}
	return out, nil
}

// swatch measures what is to be kept.
func (b *bench) swatch() (surface.Reading, error) {
	if b.found != nil && len(b.rq.Pieces) == 0 {
		r, err := b.read(b.window(b.card.Swatch))
		if err != nil {
			return r, refusal.New(err, retakeHint(err), "the swatch in the card's window cannot be measured: %v", err)
		}
		if !b.isPaper(r.Lab) {
			return r, nil
		}
	}
	pieces, err := b.pieces()
	if err != nil {
		return surface.Reading{}, err
	}
	if len(pieces) != 1 {
		return surface.Reading{}, refusal.New(nil, "lay the swatch in the card's window or alone on the sheet, or say where it is with --piece X,Y,W,H",
			"the card's swatch window is empty and %d pieces lie on the sheet: no telling which is the swatch", len(pieces))
	}
	if faults := pieces[0].faults; len(faults) > 0 {
		return surface.Reading{}, refusal.New(nil, "lay it flat and whole on the sheet, in one even light, and take the photo again",
			"the swatch on the sheet cannot be measured: %s", faults[0])
	}
	r, err := b.measure(pieces[0], 0)
	if err == nil {
		err = tooMuchLeftOut(r)
	}
	if err != nil {
		err = refusal.New(err, retakeHint(err), "the swatch on the sheet cannot be measured: %v", err)
	}
	return r, err
}

// MeanSwatch returns what several photos of one swatch agree on. It refuses photos
// of several cameras or cards, and one that differs from the others by more than a
// photo in the same light does.
func MeanSwatch(read []Swatch, w colour.Weights) (Swatch, error) {
	mean := read[0]
	readings := make([]tolerance.Estimate, len(read))
	var print colour.Matrix
	warnings := map[string]bool{}
	mean.Warnings = nil
	for i, s := range read {
		if err := s.sameAs(read[0]); err != nil {
			return Swatch{}, err
		}
		readings[i] = tolerance.Estimate{Lab: s.Lab, Cov: s.Cov}
		print = print.Add(s.Print.Scale(1 / float64(len(read)))) // one print, wrong alike in all
		if s.Taken.After(mean.Taken) {
			mean.Taken = s.Taken
		}
		for _, text := range s.Warnings {
			if !warnings[text] {
				mean.Warnings = append(mean.Warnings, text)
			}
			warnings[text] = true
		}
	}
	if i, d := tolerance.Odd(readings, w, tolerance.SameLight()); i >= 0 {
		others := "the mean of the others"
		if len(read) == 2 {
			others = read[0].File
		}
		return Swatch{}, refusal.New(nil, "take the photos in one light, of one swatch, without shine, and leave out the one that is off",
			"%s: the swatch differs by ΔE00 %.1f (%.1f to %.1f) from %s, more than photos in one light do", read[i].File, d.DE, d.Interval[0], d.Interval[1], others)
	}
	average := tolerance.Average(readings)
	mean.Lab, mean.Cov, mean.Print = average.Lab, average.Cov, print
	return mean, nil
}

// sameAs refuses a photo by another camera or of another card than first's.
func (s Swatch) sameAs(first Swatch) error {
	const hint = "keep the photos of each by themselves: the one kept last counts"
	said := func(name string) string {
		if name == "" {
			return "not recorded"
		}
		return fmt.Sprintf("%q", name)
	}
	switch {
	case s.Camera != first.Camera:
		return refusal.New(nil, hint, "several cameras: %s in %s, %s in %s", said(first.Camera), first.File, said(s.Camera), s.File)
	case s.Card != first.Card:
		return refusal.New(nil, hint, "several cards: %s in %s, %s in %s", said(first.Card), first.File, said(s.Card), s.File)
	case s.Measured != first.Measured:
		return refusal.New(nil, "give --card for the cards of all photos or of none", "the card's greys are measured in one of %s and %s alone", first.File, s.File)
	}
	return nil
}
