package main

import (
	"context"
	"io"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

const coatDropUsage = `evenhide coat drop PIECE N [options]

Takes back coat N of a piece, which was noted by mistake: it counts no more. Who dropped
it stays on record, and evenhide piece show tells. The other coats keep their numbers.
If it was laid, and only noted wrongly, note it again: evenhide coat add PIECE --number N.

  --reason TEXT            why
  --by WHO                 who drops it; not given, your name on this computer
` + bookUsage

func runCoatDrop(args []string, stdout io.Writer) (int, error) {
	const command = "coat drop"
	fs := newFlags(command)
	address, by, why := bookFlag(fs), byFlag(fs), fs.String("reason", "", "")
	if done, code, err := parse(fs, args, coatDropUsage, stdout); done {
		return code, err
	}
	err := dropping(fs, 2, *by, "the piece's name and the number of a coat")
	var number int64
	if err == nil {
		number, err = countingNumber(command, fs.Arg(1), "coat")
	}
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			d, err := b.DropCoat(ctx, fs.Arg(0), int(number), shadebook.CoatDrop{By: *by, Why: *why})
			if err != nil {
				return err
			}
			left, err := b.Coats(ctx, d.Coat.Piece)
			if err == nil {
				err = report.CoatDropped{Drop: d, Left: left}.WriteText(stdout)
			}
			return err
		})
	}
	return exitOf(err), err
}
