package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strconv"

	"github.com/spf13/pflag"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

const checkDropUsage = `evenhide check drop N [options]

Takes back check N of the shade book, of pieces, a bottle, a ladder or dabs, which was
kept by mistake: it counts no more. Who dropped it stays on record, and its photo may be
kept again, under another name or the same. N is what --keep, bottle check and the others
print, as do colour show, piece show and bottle show. A photo is taken out of a batch by
evenhide batch drop.

  --reason TEXT            why
  --by WHO                 who drops it; not given, your name on this computer
` + bookUsage

func runCheckDrop(args []string, stdout io.Writer) (int, error) {
	const command = "check drop"
	fs := newFlags(command)
	address, by, why := bookFlag(fs), byFlag(fs), fs.String("reason", "", "")
	if done, code, err := parse(fs, args, checkDropUsage, stdout); done {
		return code, err
	}
	err := dropping(fs, 1, *by, "the number of a check")
	var number int64
	if err == nil {
		number, err = countingNumber(command, fs.Arg(0), "check")
	}
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			c, err := b.DropCheck(ctx, shadebook.Drop{Check: number, By: *by, Why: *why})
			if err != nil {
				return err
			}
			before, err := replacedBy(ctx, b, c)
			if err != nil {
				return err
			}
			if before.ID != 0 {
				fmt.Fprintf(os.Stderr, "note: check %d, whose place it had taken, stays out too until its photo %s is kept again\n", before.ID, before.Photo.File)
			}
			var beside []shadebook.Check // a photo of dabs is kept anew as a whole
			if c.Kind == shadebook.OfDabs {
				if beside, err = b.DabsOfPhoto(ctx, c.Photo); err != nil {
					return err
				}
			}
			return report.CheckDropped{Check: c, Beside: beside}.WriteText(stdout)
		})
	}
	return exitOf(err), err
}

// replacedBy returns the check of another photo whose place one took, or one of its own photo
// before it; none where the place was its own photo's at first.
func replacedBy(ctx context.Context, b *shadebook.Book, c shadebook.Check) (before shadebook.Check, err error) {
	for k := c; k.Corrects != 0; {
		if k, err = b.CheckWithID(ctx, k.Corrects); err != nil {
			return before, err
		}
		switch {
		case k.Photo.SHA256 == c.Photo.SHA256:
			before = shadebook.Check{}
		case before.ID == 0:
			before = k
		}
	}
	return before, nil
}

// dropping refuses what names not so many things, or nobody who drops them.
func dropping(fs *pflag.FlagSet, things int, by, wanted string) error {
	switch {
	case fs.NArg() != things:
		return misuse(fs.Name(), "wanted %s", wanted)
	case by == "":
		return misuse(fs.Name(), "no telling who you are: wanted --by WHO")
	}
	return nil
}

// countingNumber reads the number of a thing, from 1.
func countingNumber(command, text, of string) (int64, error) {
	n, err := strconv.ParseInt(text, 10, 32)
	if err != nil || n < 1 {
		return 0, misuse(command, "%q is no number of a %s, from 1", text, of)
	}
	return n, nil
}
