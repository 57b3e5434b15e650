package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/blends"
	"evenhide/cmd/internal/bottles"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

func materialCommands() []command {
	return []command{
		{"hide add", "NAME", "add a hide to the shade book", runHideAdd},
		{"hide list", "", "list the hides", runHideList},
		{"bottle add", "NAME", "add a bottle of dye to the shade book", runBottleAdd},
		{"bottle list", "", "list the bottles", runBottleList},
	}
}

const hideAddUsage = `evenhide hide add NAME [options]

Adds a hide, or a lot of them, to the shade book.

  --lot TEXT               the tanner's lot
  --thickness 2.4mm        or in ounces: 6oz (64 to the inch)
  --finish smooth          smooth, milled or embossed
  --notes TEXT
` + bookUsage

const hideListUsage = `evenhide hide list [--json]

Lists the hides of the shade book by name.

` + listOptions

const bottleAddUsage = `evenhide bottle add NAME [options]

Adds a bottle of dye to the shade book. Its name has no , : = + or *, which part names
in lists of them.

  --dye TEXT               which dye is in it, as its maker calls it
  --lot TEXT               the dye maker's lot
  --opened 2026-03-01      the day it was opened
  --notes TEXT
` + bookUsage

const bottleListUsage = `evenhide bottle list [--json]

Lists the bottles of the shade book by name.

` + listOptions

func runHideAdd(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("hide add")
	var h shadebook.Hide
	fs.StringVar(&h.Lot, "lot", "", "")
	fs.StringVar(&h.Finish, "finish", "", "")
	fs.StringVar(&h.Notes, "notes", "", "")
	thickness, address := fs.String("thickness", "", ""), bookFlag(fs)
	if done, code, err := parse(fs, args, hideAddUsage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the hide's name")
	if err == nil && fs.Changed("thickness") {
		h.ThicknessMM, err = parseThickness(fs.Name(), *thickness)
	}
	if err == nil {
		h.Name = name
		err = withBegunBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			added, err := b.AddHide(ctx, h)
			if err == nil {
				_, err = fmt.Fprintf(stdout, "%s: added to the shade book\n", added.Name)
			}
			return err
		})
	}
	return exitOf(err), err
}

func runHideList(args []string, stdout io.Writer) (int, error) {
	return list("hide list", hideListUsage, args, stdout, func(ctx context.Context, b *shadebook.Book) (report.Listed, error) {
		hides, err := b.Hides(ctx)
		return report.NewHides(hides), err
	})
}

func runBottleAdd(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("bottle add")
	var bottle shadebook.Bottle
	fs.StringVar(&bottle.Dye, "dye", "", "")
	fs.StringVar(&bottle.MakerLot, "lot", "", "")
	fs.StringVar(&bottle.Notes, "notes", "", "")
	opened, address := fs.String("opened", "", ""), bookFlag(fs)
	if done, code, err := parse(fs, args, bottleAddUsage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the bottle's name")
	if err == nil {
		err = bottles.RefuseName(name)
	}
	if err == nil && blends.IsWater(name) {
		err = refusal.New(nil, "call it after its dye", "%q is what blends call water, and no name of a bottle", name)
	}
	if err == nil {
		err = inLists("bottle", name, partsOfDye)
	}
	if err == nil && fs.Changed("opened") {
		bottle.Opened, err = parseWhen(fs.Name(), "--opened", *opened)
	}
	if err == nil {
		bottle.Name = name
		err = withBegunBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			added, err := b.AddBottle(ctx, bottle)
			if err == nil {
				_, err = fmt.Fprintf(stdout, "%s: added to the shade book\n", added.Name)
			}
			return err
		})
	}
	return exitOf(err), err
}

func runBottleList(args []string, stdout io.Writer) (int, error) {
	return list("bottle list", bottleListUsage, args, stdout, func(ctx context.Context, b *shadebook.Book) (report.Listed, error) {
		bottles, err := b.Bottles(ctx)
		return report.NewBottles(bottles), err
	})
}

// parseThickness reads millimetres or the trade's ounces, and returns millimetres.
func parseThickness(command, text string) (float64, error) {
	digits, ounces := strings.CutSuffix(strings.TrimSpace(text), "oz")
	digits, metric := strings.CutSuffix(digits, "mm")
	mm, err := strconv.ParseFloat(strings.TrimSpace(digits), 64)
	if ounces {
		mm = mm * 25.4 / 64 // an ounce of leather is 1/64 inch thick: common practice, no source
	}
	const most = 30                                             // mm
	if err == nil && ounces != metric && mm > 0 && mm <= most { // a bare 6 may be either
		return mm, nil
	}
	return 0, misuse(command, "--thickness %s: wanted a thickness such as 2.4mm or 6oz, at most %d mm", text, most)
}

// parseWhen reads a day, or a day and a time, where the reader is.
func parseWhen(command, option, text string) (time.Time, error) {
	for _, layout := range []string{time.RFC3339, "2006-01-02 15:04", "2006-01-02T15:04", time.DateOnly} {
		if t, err := time.ParseInLocation(layout, text, time.Local); err == nil {
			return t, nil
		}
	}
	return time.Time{}, misuse(command, "%s %s: wanted a day such as 2026-03-10, or with the time, \"2026-03-10 14:30\"", option, text)
}
