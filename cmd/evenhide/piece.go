package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

func pieceCommands() []command {
	return []command{
		{"piece show", "NAME", "show a piece's coats and checks", runPieceShow},
		{"coat add", "PIECE", "note a coat of dye on a piece", runCoatAdd},
		{"coat drop", "PIECE N", "take back a coat noted by mistake", runCoatDrop},
		{"coat next", "PIECE", "tell how many more coats a piece needs", runCoatNext},
	}
}

const pieceShowUsage = `evenhide piece show NAME [--json]

Shows a piece of the shade book: its colour and hide, its coats, its checks.

` + listOptions

const coatAddUsage = `evenhide coat add PIECE [options]

Notes a coat of dye on a piece. A piece that the shade book does not know yet needs
its colour.

  --colour NAME            the colour of a new piece
  --hide NAME              its hide
  --number N               which coat it is; not given, the next
  --when "2026-03-10 14:30"   or the day alone, and drying counts from 18:00;
                           not given, now
  --temperature C          of the room, in °C
  --bottle NAME            the bottle it came from
  --blend TEXT             or what it was mixed from, in your words
` + bookUsage

func runPieceShow(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("piece show")
	address, asJSON := bookFlag(fs), jsonFlag(fs)
	if done, code, err := parse(fs, args, pieceShowUsage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the piece's name")
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			p, err := b.PieceNamed(ctx, name)
			if err != nil {
				return err
			}
			coats, err := b.Coats(ctx, p.Name)
			if err != nil {
				return err
			}
			dropped, err := b.DroppedCoats(ctx, p.Name)
			if err != nil {
				return err
			}
			checks, err := b.PieceChecks(ctx, p.Name)
			if err != nil {
				return err
			}
			return printListed(stdout, report.NewPieceShown(p, coats, dropped, checks), *asJSON)
		})
	}
	return exitOf(err), err
}

func runCoatAdd(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("coat add")
	var c shadebook.Coat
	fs.IntVar(&c.Number, "number", 0, "")
	fs.StringVar(&c.Bottle, "bottle", "", "")
	fs.StringVar(&c.Blend, "blend", "", "")
	when, temperature := fs.String("when", "", ""), fs.Float64("temperature", 0, "")
	colourName, hide, address := fs.String("colour", "", ""), fs.String("hide", "", ""), bookFlag(fs)
	if done, code, err := parse(fs, args, coatAddUsage, stdout); done {
		return code, err
	}
	var err error
	if c.Piece, err = oneName(fs, "the piece's name"); err != nil {
		return notMeasured, err
	}
	const coldest, hottest = -20, 60 // °C: nobody dyes beyond
	switch {
	case fs.Changed("number") && c.Number < 1:
		err = misuse(fs.Name(), "--number %d: coats are numbered from 1", c.Number)
	case c.Bottle != "" && c.Blend != "":
		err = misuse(fs.Name(), "--bottle and --blend exclude each other")
	case *hide != "" && *colourName == "":
		err = misuse(fs.Name(), "--hide is of a new piece, which needs --colour NAME as well")
	case fs.Changed("temperature") && !(*temperature >= coldest && *temperature <= hottest):
		err = misuse(fs.Name(), "--temperature %v: wanted °C from %d to %d", *temperature, coldest, hottest)
	case fs.Changed("temperature"):
		c.Temperature = temperature
	}
	c.When = time.Now()
	if err == nil && fs.Changed("when") {
		c.When, err = parseWhen(fs.Name(), "--when", *when)
	}
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			added, err := addCoat(ctx, b, c, shadebook.Piece{Name: c.Piece, Colour: *colourName, Hide: *hide})
			if err == nil {
				_, err = fmt.Fprintf(stdout, "%s: coat %d noted\n", added.Piece, added.Number)
			}
			return err
		})
	}
	return exitOf(err), err
}

// addCoat adds a coat, and before it the piece when it is new.
func addCoat(ctx context.Context, b *shadebook.Book, c shadebook.Coat, p shadebook.Piece) (shadebook.Coat, error) {
	if c.Bottle != "" { // before the piece is added, which would be left without its coat
		if _, err := b.BottleNamed(ctx, c.Bottle); err != nil {
			return c, err
		}
	}
	_, err := b.PieceNamed(ctx, p.Name)
	if there := err == nil; p.Colour != "" && (there || errors.Is(err, shadebook.ErrNoRecord)) {
		if err = nil; !there {
			err = inLists("piece", p.Name, ",")
		}
		if err == nil {
			_, err = b.AddPiece(ctx, p)
		}
		if there && errors.Is(err, shadebook.ErrNameTaken) {
			err = refusal.New(nil, "leave --colour out, or give a new piece another name", "the piece %q is in the book already", p.Name)
		}
	}
	if err != nil {
		return c, err
	}
	return b.AddCoat(ctx, c)
}
