package main

import (
	"bytes"
	"fmt"
	"io"
	"text/tabwriter"

	"evenhide/calibrate/card"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/outfile"
)

const cardMeasureUsage = `evenhide card measure PHOTO --grey X,Y,W,H=L [--grey ...] [--out FILE]

Measures what the printer made of a card's greys. Lay the card and a bought grey
card, whose L* are known, side by side on one white sheet, and take one photo in
soft, even light.

  --grey X,Y,W,H=L         where a bought grey lies in the photo, in pixels, and its
                           L* (repeat; give six: three leave the printed greys
                           uncertain by about 2 L*, one or two tell only how light
                           they all are, not their contrast)
  --out FILE               write the measured greys, for evenhide check --card FILE;
                           in place of older ones, but of no other file
  --max-megapixels 120     refuse larger photos

Each print comes out of the printer a little different: measure each card once.
`

// runCardMeasure is the command card measure.
func runCardMeasure(args []string, stdout io.Writer) (int, error) {
	const command = "card measure"
	fs := newFlags(command)
	greys := fs.StringArray("grey", nil, "")
	out := fs.String("out", "", "")
	megapixels := fs.Float64("max-megapixels", 120, "")
	if done, code, err := parse(fs, args, cardMeasureUsage, stdout); done {
		return code, err
	}
	if fs.NArg() != 1 {
		return notMeasured, misuse(command, "wanted one photo, found %d", fs.NArg())
	}
	if len(*greys) == 0 {
		return notMeasured, misuse(command, "no bought grey given: wanted --grey X,Y,W,H=L")
	}
	places, err := greyPlaces(command, *greys)
	if err == nil && *out != "" {
		err = outfile.Check(*out, greysFile())
	}
	if err == nil {
		err = aboveNought(command, "max-megapixels", *megapixels)
	}
	if err != nil {
		return notMeasured, err
	}
	reading, err := check.MeasureCard(fs.Arg(0), places, int(1e6**megapixels))
	if err == nil && *out != "" {
		err = outfile.Write(*out, greysFile(), reading.Write)
	}
	if err == nil {
		err = printCard(stdout, reading, *out)
	}
	return exitOf(err), err
}

func greysFile() outfile.Kind {
	return outfile.Kind{Name: "a file of measured greys", Is: func(head []byte) bool {
		_, err := card.ReadMeasured(bytes.NewReader(head), "")
		return err == nil
	}}
}

// printCard prints the table of a card's greys and what it is good for.
func printCard(w io.Writer, r check.CardReading, out string) error {
	fmt.Fprintf(w, "card %s\n", r.Serial)
	tab := tabwriter.NewWriter(w, 0, 0, 3, ' ', tabwriter.AlignRight)
	made := "printed L*"
	if r.LevelOnly {
		made = "at that level"
	}
	fmt.Fprintf(tab, "  grey\tasked L*\t%s\toff by\t\n", made)
	for i, l := range r.L {
		fmt.Fprintf(tab, "  %d\t%.1f\t%.1f\t%+.1f\t\n", i+1, r.Nominal[i], l, l-r.Nominal[i])
	}
	tab.Flush()
	for _, warning := range r.Warnings {
		fmt.Fprintf(w, "note: %s\n", warning)
	}
	if out == "" {
		_, err := fmt.Fprintln(w, "nothing is written: give --out FILE to use these greys")
		return err
	}
	_, err := fmt.Fprintf(w, "%s: written; evenhide check --card %s PHOTO uses these greys wherever it finds this card\n", out, out)
	return err
}
