// Package check takes a photo from its file to a verdict on each piece: it joins
// reading, finding, calibrating, measuring and judging, and does none of them
// itself.
package check

import (
	"errors"
	"fmt"
	"image"

	"evenhide/calibrate/card"
	"evenhide/calibrate/photo"
	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Request says what lies where in a photo, as far as that is not to be found, and
// what may still ship. Places are in pixels of the upright photo.
type Request struct {
	Greys     []Place     // neutral steps; none: the card is looked for
	Swatch    *Place      // the reference swatch; nil: it lies in the card's window
	Reference *colour.Lab // or its Lab (D65, 2°)
	Kept      *Kept       // or a swatch kept earlier, for photos that show none
	SameLight bool        // Reference or Kept was read in this light with this camera
	Light     string      // the name of the photo's light, to be held against Kept's
	Pieces    []Place     // none: they are looked for
	Zones     []Place     // named parts to be judged on their own
	Limits    tolerance.Limits
	Weights   colour.Weights
	MaxPixels int // of a photo; 0 is photo's own limit
	// Measured has the measured L* of a card's steps, by its serial.
	Measured map[string]card.Measured
	// Judged, unless nil, is handed each result before it is shown, and may overrule a
	// verdict by what a photo does not tell.
	Judged func(*report.Photo) error
	// Show, unless nil, is handed what a picture of each photo shows.
	Show func(picture.Subject)
	// done, unless nil, is told each stage of the work as it ends.
	done func(stage string)
}

func (rq Request) ended(stage string) {
	if rq.done != nil {
		rq.done(stage)
	}
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
	if err := rq.fill(path, &out); err != nil {
		out.Error = err.Error()
		var refused *refusal.Error
		if errors.As(err, &refused) {
			out.Hint = refused.Hint
		}
	}
	return out
}

func (rq Request) fill(path string, out *report.Photo) error {
	p, err := photo.Open(path, photo.Limits{MaxPixels: rq.MaxPixels})
	if err != nil {
		return err
	}
	rq.ended("read")
	out.Width, out.Height, out.Profile = p.Width, p.Height, p.Profile
	out.Taken, out.Camera = report.Time(p.Taken), p.Camera
	if err := rq.inside(p); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	p, b, err := rq.benchOf(path, p)
	if b != nil {
		b.camera = p.Camera
		out.Card = b.cardFound()
	}
	if err == nil {
		err = b.judge(out)
	}
	if err == nil && rq.Judged != nil {
		err = rq.Judged(out)
	}
	if rq.Show != nil {
		rq.Show(rq.subject(p.Field, b, out, err))
	}
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}

// benchOf returns the bench of the photo at path, which is read again where its card
// is too small for it.
func (rq Request) benchOf(path string, p *photo.Photo) (*photo.Photo, *bench, error) {
	b, err := rq.bench(p.Field)
	if errors.Is(err, card.ErrNoCard) && p.Field.Cell > 1 {
		return rq.lookCloser(path, p, err)
	}
	return p, b, err
}

// lookCloser reads the photo again in finer cells and looks for a card that was
// too small to be found; without success what was found wrong before stands.
func (rq Request) lookCloser(path string, coarse *photo.Photo, before error) (*photo.Photo, *bench, error) {
	const mostCells = 12.6e6 // a cell a pixel for a common phone: 210 MB, for this rare case
	p, err := photo.Open(path, photo.Limits{MaxPixels: rq.MaxPixels, MaxCells: mostCells})
	if err != nil || p.Field.Cell >= coarse.Field.Cell {
		return coarse, nil, before
	}
	b, err := rq.bench(p.Field)
	if errors.Is(err, card.ErrNoCard) {
		return coarse, nil, before
	}
	return p, b, err
}

// inside refuses places that reach out of the photo.
func (rq Request) inside(p *photo.Photo) error {
	all := append(append(append([]Place{}, rq.Greys...), rq.Pieces...), rq.Zones...)
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
