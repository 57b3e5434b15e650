package main

import (
	"context"
	"io"

	"evenhide/cmd/internal/coats"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/tolerance"
)

const coatNextUsage = `evenhide coat next PIECE [--json]
evenhide coat next --colour NAME [--json]

Tells how many more coats bring a piece within its colour's tolerance, from its kept
checks after each coat, from the colour's earlier pieces and its usual number of coats
(colour add --coats); or how many a new piece of a colour takes. Note each coat
(evenhide coat add), let it dry and check the piece with bare hide in the card's
window: evenhide check PHOTO --colour NAME --keep --called PIECE.

  --colour NAME            the colour of a new piece
` + listOptions + `
A photo taken before the last coat was dry does not count: less than the colour's
drying time after it, which doubles with every 10 °C that the room was under 18 °C.

Exit code: 0 it ships or more coats get it there, 1 it has to be looked at or they will
not, 2 that cannot be told.
`

func runCoatNext(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("coat next")
	address, asJSON, colourName := bookFlag(fs), jsonFlag(fs), fs.String("colour", "", "")
	if done, code, err := parse(fs, args, coatNextUsage, stdout); done {
		return code, err
	}
	var piece string
	var err error
	if fs.Changed("colour") {
		err = noNames(fs)
	} else {
		piece, err = oneName(fs, "the piece's name, or --colour NAME for a new piece,")
	}
	var next report.CoatNext
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) (err error) {
			if fs.Changed("colour") {
				next, err = coats.NextOf(ctx, b, *colourName)
			} else {
				next, err = coats.Next(ctx, b, piece)
			}
			if err == nil {
				err = printListed(stdout, next, *asJSON)
			}
			return err
		})
	}
	switch {
	case err != nil || next.Verdict == tolerance.Retake:
		return notMeasured, err
	case next.Verdict == tolerance.Ship || next.Verdict == tolerance.AnotherCoat:
		return allShip, nil
	}
	return someDoNot, nil
}
