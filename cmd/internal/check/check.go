// Package check takes a photo from its file to a verdict on each piece: it joins
// reading, calibrating, measuring and judging, and does none of them itself.
package check

import (
	"errors"
	"fmt"
	"image"

	"evenhide/calibrate"
	"evenhide/calibrate/photo"
	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// Request says what lies where in a photo, in pixels of the upright photo, and
// what may still ship.
type Request struct {
	Greys     []Place
	Swatch    *Place      // the reference swatch in the photo, or
	Reference *colour.Lab // its Lab (D65, 2°)
	Pieces    []Place
	Limits    tolerance.Limits
	Weights   colour.Weights
	MaxPixels int // of a photo; 0 is photo's own limit
}

// Place is a rectangle as it was given, and what it stands for.
type Place struct {
	Option string // as typed, for messages
	Name   string // of a piece
	L      float64
	Rect   image.Rectangle
}

// Photo checks one photo. What went wrong stands in the result's Error and Hint.
func Photo(path string, rq Request) report.Photo {
	out := report.Photo{File: path, Pieces: []report.Piece{}}
	p, err := photo.Open(path, photo.Limits{MaxPixels: rq.MaxPixels})
	if err == nil {
		out.Width, out.Height, out.Profile = p.Width, p.Height, p.Profile
		out.Taken, out.Camera = report.Time(p.Taken), p.Camera
		if err = rq.inside(p); err == nil {
			err = rq.judge(p.Field, &out)
		}
		if err != nil {
			err = fmt.Errorf("%s: %w", path, err)
		}
	}
	if err != nil {
		out.Error = err.Error()
		var refused *refusal.Error
		if errors.As(err, &refused) {
			out.Hint = refused.Hint
		}
	}
	return out
}

// inside refuses places that reach out of the photo.
func (rq Request) inside(p *photo.Photo) error {
	all := append(append([]Place{}, rq.Greys...), rq.Pieces...)
	if rq.Swatch != nil {
		all = append(all, *rq.Swatch)
	}
	for _, place := range all {
		if !place.Rect.In(image.Rect(0, 0, p.Width, p.Height)) {
			return refusal.New(nil, "places are X,Y,W,H in pixels of the upright photo, from its top left corner",
				"%s lies outside the photo, which is %d×%d pixels", place.Option, p.Width, p.Height)
		}
	}
	return nil
}

// judge measures everything in the field and fills in out.
func (rq Request) judge(f *colour.Field, out *report.Photo) error {
	var steps []calibrate.Step
	for _, g := range rq.Greys {
		steps = append(steps, calibrate.Step{Region: surface.Region{Rect: f.Cells(g.Rect)}, L: g.L})
	}
	cal, err := calibrate.Fit(f, steps)
	if err != nil {
		return err
	}
	out.Calibration = calibration(cal, f)
	b := bench{field: f, cal: cal, rq: rq}
	ref, err := b.reference()
	if err != nil {
		return err
	}
	out.Reference = &report.Reference{Source: report.Given, Lab: report.Triple(ref.Lab)}
	if rq.Swatch != nil {
		out.Reference.Source = report.InFrame
	}
	for _, p := range rq.Pieces {
		out.Pieces = append(out.Pieces, b.piece(p, ref))
	}
	return nil
}

// bench is a photo ready to be measured.
type bench struct {
	field *colour.Field
	cal   *calibrate.Calibration
	rq    Request
}

// reference returns the colour to hold pieces against.
func (b bench) reference() (tolerance.Estimate, error) {
	if b.rq.Swatch == nil {
		return tolerance.Estimate{Lab: *b.rq.Reference}, nil
	}
	const leastTiles = 9 // a swatch is small, and only its mean is wanted
	r, err := b.measure(*b.rq.Swatch, leastTiles)
	if err == nil {
		err = tooMuchLeftOut(r)
	}
	if err != nil {
		return tolerance.Estimate{}, refusal.New(err, retakeHint(err), "the swatch at %s cannot be measured: %v", b.rq.Swatch.Option, err)
	}
	return b.estimate(r), nil
}

func (b bench) measure(p Place, leastTiles int) (surface.Reading, error) {
	return surface.Measure(b.field, surface.Region{Rect: b.field.Cells(p.Rect)},
		func(_, _ float64, c colour.LinearRGB) colour.LinearRGB { return b.cal.Develop(c) },
		surface.Options{MinTiles: leastTiles, Weights: b.rq.Weights})
}

func (b bench) estimate(r surface.Reading) tolerance.Estimate {
	return tolerance.Estimate{Lab: r.Lab, Cov: r.Cov, Shared: b.cal.Shifts(r.Mean)}
}

// piece measures and judges one piece.
func (b bench) piece(p Place, ref tolerance.Estimate) report.Piece {
	out := report.Piece{Name: p.Name}
	r, err := b.measure(p, 0)
	out.LeftOut = report.LeftOut{Glare: r.GlarePercent, Clipped: r.ClippedPercent}
	if err == nil {
		err = tooMuchLeftOut(r)
	}
	if err != nil {
		out.Verdict, out.Reasons, out.Hint = tolerance.Retake, []string{err.Error()}, retakeHint(err)
		return out
	}
	d := tolerance.Between(ref, b.estimate(r), b.rq.Weights)
	out.Verdict, out.Reasons = tolerance.Judge(d, r.Blotch.RMS, b.rq.Limits)
	out.Measures = measures(r, d, colour.InWords(ref.Lab, r.Lab, b.rq.Weights))
	return out
}
