package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	"evenhide/cmd/internal/batch"
	"evenhide/cmd/internal/shadebook"
)

const batchDropUsage = `evenhide batch drop NAME PHOTO --reason TEXT [options]

Drops a photo that is not of a batch: it and its pieces count no more. Who dropped it
and why stays on record, and evenhide batch check takes it back when you name the
photo again. A photo whose place it had taken stays out as well until you name that
one. An approved or rejected batch stays as it is.

PHOTO is what evenhide batch show --json calls it, its file's name, or its path as it
was when it was checked.

  --reason TEXT            why
  --by WHO                 who drops it; not given, your name on this computer
` + bookUsage

func runBatchDrop(args []string, stdout io.Writer) (int, error) {
	const command = "batch drop"
	fs := newFlags(command)
	address, by, why := bookFlag(fs), byFlag(fs), fs.String("reason", "", "")
	if done, code, err := parse(fs, args, batchDropUsage, stdout); done {
		return code, err
	}
	*why = strings.TrimSpace(*why)
	var err error
	switch {
	case fs.NArg() != 2:
		err = misuse(command, "wanted the batch's name and one photo of it")
	case *why == "":
		err = misuse(command, "no reason given: wanted --reason TEXT")
	case *by == "":
		err = misuse(command, "no telling who you are: wanted --by WHO")
	default:
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			held, err := b.BatchResult(ctx, fs.Arg(0))
			if err != nil {
				return err
			}
			c, err := batch.CheckOf(held, fs.Arg(1))
			if err != nil {
				return err
			}
			if _, err = b.DropPhoto(ctx, held.Batch.Name, shadebook.Drop{Check: c.ID, By: *by, Why: *why}); err != nil {
				return err
			}
			if c.Corrects != 0 {
				fmt.Fprintln(os.Stderr, "note: the photo whose place it had taken stays out too: evenhide batch check NAME PHOTO takes it back")
			}
			_, err = fmt.Fprintf(stdout, "%s: %s dropped by %s\n", held.Batch.Name, fs.Arg(1), *by)
			return err
		})
	}
	return exitOf(err), err
}
