package main

import (
	"context"
	"fmt"
	"io"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
)

func swatchCommands() []command {
	return []command{{"swatch keep", "PHOTO... --colour NAME", "keep the swatch of a colour from photos", runSwatchKeep}}
}

const swatchKeepUsage = `evenhide swatch keep PHOTO... --colour NAME [options]

Measures the swatch in the card's window in each photo, or, where the window is
empty, the one piece on the sheet, and keeps the mean as the colour's reference.
Give two or three photos, the card and the sheet moved in between: how far they
spread tells how well the swatch is known. The swatch kept before stays in the book.

  --colour NAME            the colour, which the shade book knows
  --light NAME             what you call the light of these photos: "north window"
  --piece X,Y,W,H          where the swatch lies, in pixels (of one photo alone)
  --card FILE              measured greys of a card, from evenhide card measure
                           (repeat for more cards)
  --grey X,Y,W,H=L         without the card: a neutral step with lightness L*
                           (repeat for more steps; of one photo alone)
  --max-megapixels 120     refuse larger photos
  --json                   print what was kept as JSON
` + bookUsage + `
A kept swatch holds in the same light with the same camera; in any other, evenhide
check allows for a good deal more. A swatch in each photo is always better.
`

// swatchFlags are the options of swatch keep as typed.
type swatchFlags struct {
	colour        string
	lights        []string
	piece         string
	cards, greys  []string
	maxMegapixels float64
	book          *string
	json          *bool
}

func runSwatchKeep(args []string, stdout io.Writer) (int, error) {
	const command = "swatch keep"
	var o swatchFlags
	fs := newFlags(command)
	fs.StringVar(&o.colour, "colour", "", "")
	fs.StringArrayVar(&o.lights, "light", nil, "")
	fs.StringVar(&o.piece, "piece", "", "")
	fs.StringArrayVar(&o.cards, "card", nil, "")
	fs.StringArrayVar(&o.greys, "grey", nil, "")
	fs.Float64Var(&o.maxMegapixels, "max-megapixels", 120, "")
	o.book, o.json = bookFlag(fs), jsonFlag(fs)
	if done, code, err := parse(fs, args, swatchKeepUsage, stdout); done {
		return code, err
	}
	rq, err := o.request(command, fs.Args())
	if err == nil {
		err = withBook(*o.book, func(ctx context.Context, b *shadebook.Book) error {
			return o.keep(ctx, b, rq, fs.Args(), stdout)
		})
	}
	return exitOf(err), err
}

// request checks the options and turns them into what is asked for.
func (o swatchFlags) request(command string, photos []string) (rq check.Request, err error) {
	switch {
	case len(photos) == 0:
		return rq, misuse(command, "no photo named")
	case o.colour == "":
		return rq, misuse(command, "no colour named: wanted --colour NAME")
	case len(o.lights) > 1:
		return rq, refusal.New(nil, "keep the photos of each light by themselves", "%d lights named: wanted one for all photos of a swatch", len(o.lights))
	case len(photos) > 1 && (o.piece != "" || len(o.greys) > 0):
		return rq, misuse(command, "places hold for one photo, and %d are named", len(photos))
	}
	if err = aboveNought(command, "max-megapixels", o.maxMegapixels); err != nil {
		return rq, err
	}
	rq.MaxPixels = int(1e6 * o.maxMegapixels)
	if rq.Greys, err = greyPlaces(command, o.greys); err != nil {
		return rq, err
	}
	if o.piece != "" {
		place := check.Place{Option: "--piece " + o.piece}
		if place.Rect, err = parseRect(command, "--piece", o.piece); err != nil {
			return rq, err
		}
		rq.Pieces = []check.Place{place}
	}
	if len(rq.Greys) > 0 && len(rq.Pieces) == 0 {
		return rq, misuse(command, "nothing to keep: with --grey give --piece X,Y,W,H")
	}
	rq.Measured, err = readCards(command, o.cards)
	return rq, err
}

// keep measures the photos and keeps what they agree on.
func (o swatchFlags) keep(ctx context.Context, b *shadebook.Book, rq check.Request, photos []string, stdout io.Writer) error {
	c, err := b.ColourNamed(ctx, o.colour)
	if err != nil {
		return err
	}
	rq.Weights = colour.Weights{KL: c.KL, KC: 1, KH: 1}
	var read []check.Swatch
	var files []shadebook.PhotoFile
	for _, path := range photos {
		if ctx.Err() != nil {
			return refusal.New(ctx.Err(), "", "stopped: nothing is kept")
		}
		file, err := record.PhotoFile(path)
		if err == nil {
			err = twice(files, file)
		}
		if err != nil {
			return err
		}
		one, err := check.ReadSwatch(path, rq)
		if err != nil {
			return err
		}
		read, files = append(read, one), append(files, file)
	}
	mean, err := check.MeanSwatch(read, rq.Weights)
	if err != nil {
		return err
	}
	light := ""
	if len(o.lights) > 0 {
		light = o.lights[0]
	}
	before, err := b.Swatches(ctx, c.Name)
	if err != nil {
		return err
	}
	if len(before) > 0 {
		if apart := colour.DeltaE2000(before[0].Lab, mean.Lab, colour.UnitWeights()); apart > check.OtherColour {
			mean.Warnings = append(mean.Warnings, fmt.Sprintf("it differs by ΔE00 %.0f from the one kept before: is it of another colour? The one kept last counts: keep the right one again", apart))
		}
	}
	kept, err := b.KeepSwatch(ctx, shadebook.Swatch{Colour: c.Name, Lab: mean.Lab, Cov: mean.Cov, Print: mean.Print, Photos: files,
		Light: light, Camera: mean.Camera, Card: mean.Card, CardMeasured: mean.Measured, Taken: mean.Taken})
	if err != nil {
		return err
	}
	return printListed(stdout, report.NewSwatchKept(kept, mean.Warnings), *o.json)
}

// twice refuses a photo that is among files already: it would count as a second
// measurement.
func twice(files []shadebook.PhotoFile, file shadebook.PhotoFile) error {
	for _, f := range files {
		if f.SHA256 == file.SHA256 {
			return refusal.New(nil, "take each photo anew: what they differ by tells how well the swatch is known",
				"%s is the same photo as %s", file.File, f.File)
		}
	}
	return nil
}
