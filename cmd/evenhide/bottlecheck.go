package main

import (
	"context"
	"io"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"evenhide/cmd/internal/bottles"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

func bottleCheckCommands() []command {
	return []command{
		{"bottle check", "PHOTO", "tell from dabs how strong dye is", runBottleCheck},
		{"bottle ladder", "PHOTO --parts LIST", "tell from dabs how to thin a bottle", runBottleLadder},
		{"bottle show", "NAME", "show the checks of a bottle or a dye", runBottleShow},
	}
}

const (
	bottleCheckUsage = `evenhide bottle check PHOTO [options]

Tells how strong the dye in bottles is from dabs, against a reference dab. Lay the
reference dab in the card's window swatch, bare hide in its window hide, and a dab
from each bottle on the sheet, about 30 mm square, close to the card: all of them
single coats on the same hide, laid alike, dry.

  --strength-tolerance 14  per cent that a bottle must not be off by
  --shade-tolerance 2      ΔE00 that it must not be off by at equal strength
  --called NAME[,NAME...]  the bottle of each dab in reading order, or one name for
                           all; dabs of one bottle are averaged: three on different
                           places of the hide tell most. The name reference is for
                           more dabs of the reference, which are averaged with the
                           one in the window: lay them at either end of the others
  --ml 250                 what is in hand: how much water for that
  --bottle NAME            keep the result of this bottle in the shade book: all dabs
                           are from it, or those that --called says (repeat for more);
                           it is thinned by its ladder, or one of its dye, if one is kept
` + dabsUsage + bookUsage + `
A bottle is used when it is likely off by less than the tolerances, and something is
done when it is likely off by more than a fifth of that strength or a tenth of that
shade; likely is five to one, and where both hold, the nearer one counts. Of a bottle
whose dabs surely differ by more than the shade tolerance, whatever the hide under
them, nothing is told.

  use                      as strong and of the shade of the reference
  thin                     too strong: so much water for each 100 ml
  shake and dab again      too weak: settled, or thinned too far
  hold                     off in shade, which no water mends
  look again               too close to call
  retake                   could not be measured

The strength is relative, read from a camera's three channels: it is no strength
after ISO 105-Z10.

Exit code: 0 every bottle can be used, 1 some needs something else, 2 something
could not be measured, be it only a dab of the reference.
`
	dabsUsage = `  --card FILE              measured greys of a card, from evenhide card measure
                           (repeat for more cards)
  --json                   print the result as JSON
  --max-megapixels 120     refuse larger photos
`
)

// dabFlags are the options that both have, as typed.
type dabFlags struct {
	cards             []string
	ml, maxMegapixels float64
	json              bool
	book              *string
}

func (o *dabFlags) add(fs *pflag.FlagSet) {
	fs.StringArrayVar(&o.cards, "card", nil, "")
	fs.Float64Var(&o.ml, "ml", 0, "")
	fs.Float64Var(&o.maxMegapixels, "max-megapixels", 120, "")
	fs.BoolVar(&o.json, "json", false, "")
	o.book = bookFlag(fs)
}

// request checks the options and turns them into what is asked for.
func (o dabFlags) request(fs *pflag.FlagSet) (check.DabRequest, error) {
	rq := check.DabRequest{ML: o.ml, Request: check.Request{Weights: colour.UnitWeights(), MaxPixels: int(1e6 * o.maxMegapixels)}}
	if fs.NArg() != 1 {
		return rq, misuse(fs.Name(), "wanted one photo, found %d", fs.NArg())
	}
	if err := aboveNought(fs.Name(), "max-megapixels", o.maxMegapixels); err != nil {
		return rq, err
	}
	if *o.book != "" && !fs.Changed("bottle") {
		return rq, misuse(fs.Name(), "--book goes with a bottle of the shade book: wanted --bottle NAME")
	}
	const most = 1e6 // ml: a cubic metre
	if fs.Changed("ml") && !(o.ml > 0 && o.ml <= most) {
		return rq, misuse(fs.Name(), "--ml %v: wanted a number above 0, at most %.0f", o.ml, most)
	}
	var err error
	rq.Measured, err = readCards(fs.Name(), o.cards)
	return rq, err
}

// runBottleCheck is the command bottle check.
func runBottleCheck(args []string, stdout io.Writer) (int, error) {
	var o dabFlags
	fs := newFlags("bottle check")
	o.add(fs)
	strength := fs.Float64("strength-tolerance", 14, "")
	shade := fs.Float64("shade-tolerance", 2, "")
	called, kept := fs.String("called", "", ""), fs.StringArray("bottle", nil, "")
	if done, code, err := parse(fs, args, bottleCheckUsage, stdout); done {
		return code, err
	}
	rq, err := o.request(fs)
	if err == nil {
		err = aboveNought(fs.Name(), "strength-tolerance", *strength)
	}
	if err == nil {
		err = aboveNought(fs.Name(), "shade-tolerance", *shade)
	}
	if err == nil && fs.Changed("called") {
		rq.Called, err = calledNames(fs.Name(), *called)
	}
	if err == nil && len(*kept) > 1 && rq.Called == nil {
		err = misuse(fs.Name(), "%d bottles are named: wanted --called with the bottle of each dab in reading order", len(*kept))
	}
	if err != nil {
		return notMeasured, err
	}
	rq.Bottle = tolerance.BottleLimits{Strength: *strength / 100, Shade: *shade}
	var result report.Dabs
	if len(*kept) == 0 {
		result, err = check.Dabs(fs.Arg(0), rq)
	} else {
		err = withBook(*o.book, func(ctx context.Context, b *shadebook.Book) (err error) {
			result, err = bottles.Check(ctx, b, fs.Arg(0), rq, *kept)
			return err
		})
	}
	if err == nil {
		err = printListed(stdout, result, o.json)
	}
	if err != nil {
		return notMeasured, err
	}
	switch {
	case result.Unmeasured():
		return notMeasured, nil
	case slices.ContainsFunc(result.Dabs, func(d report.Dab) bool { return d.Verdict != tolerance.Use }):
		return someDoNot, nil
	}
	return allShip, nil
}

// calledNames reads the value of --called.
func calledNames(command, text string) ([]string, error) {
	var names []string
	for _, name := range strings.Split(text, ",") {
		if name = strings.TrimSpace(name); name == "" {
			return nil, misuse(command, "--called %s: a name is empty", text)
		}
		names = append(names, name)
	}
	return names, shadebook.OneSpelling(names)
}
