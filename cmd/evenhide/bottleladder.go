package main

import (
	"context"
	"io"
	"strconv"
	"strings"

	"evenhide/cmd/internal/bottles"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

const bottleLadderUsage = `evenhide bottle ladder PHOTO --parts 1,0.75,0.5 [options]

Tells how to thin a bottle from dabs at known dilutions, for a dye whose strength
does not go with its concentration. Lay them as for evenhide bottle check.

  --parts 1,0.75,0.5       the part of dye in each dab in reading order: 1 as it is in
                           the bottle, 0.5 with as much water
  --ml 250                 what is in hand: how much water for that
  --bottle NAME            keep it in the shade book as the ladder of this bottle, by
                           which evenhide bottle check then thins bottles of its dye
  --light NAME             what you call the light of the photo, for blends
` + dabsUsage + bookUsage + `
Exit code: 0, or 2 when something could not be measured.
`

// runBottleLadder is the command bottle ladder.
func runBottleLadder(args []string, stdout io.Writer) (int, error) {
	var o dabFlags
	fs := newFlags("bottle ladder")
	o.add(fs)
	text, bottle, light := fs.String("parts", "", ""), fs.String("bottle", "", ""), fs.String("light", "", "")
	if done, code, err := parse(fs, args, bottleLadderUsage, stdout); done {
		return code, err
	}
	rq, err := o.request(fs)
	var parts []float64
	rq.Light = *light
	if err == nil {
		parts, err = dyeParts(fs.Name(), *text)
	}
	if err != nil {
		return notMeasured, err
	}
	var result report.Ladder
	if !fs.Changed("bottle") {
		result, err = check.Ladder(fs.Arg(0), rq, parts)
	} else {
		err = withBook(*o.book, func(ctx context.Context, b *shadebook.Book) (err error) {
			result, err = bottles.KeepLadder(ctx, b, fs.Arg(0), rq, parts, *bottle)
			return err
		})
	}
	if err == nil {
		err = printListed(stdout, result, o.json)
	}
	return exitOf(err), err
}

// dyeParts reads the value of --parts.
func dyeParts(command, text string) ([]float64, error) {
	if text == "" {
		return nil, misuse(command, "no --parts: wanted the part of dye in each dab, such as 1,0.75,0.5")
	}
	var parts []float64
	for _, t := range strings.Split(text, ",") {
		v, err := strconv.ParseFloat(strings.TrimSpace(t), 64)
		if err != nil || !(v > 0 && v <= 1) {
			return nil, misuse(command, "--parts %s: %q is no part of dye above 0 and up to 1", text, t)
		}
		parts = append(parts, v)
	}
	return parts, nil
}
