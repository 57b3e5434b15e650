package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"os/user"
	"strings"

	"github.com/spf13/pflag"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/batch"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
)

func batchCommands() []command {
	return []command{
		{"batch open", "NAME --colour NAME", "begin a batch of one colour", runBatchOpen},
		{"batch check", "NAME PHOTO|FOLDER...", "check a batch's photos and sort its pieces", runBatchCheck},
		{"batch drop", "NAME PHOTO --reason TEXT", "drop a photo that is not of a batch", runBatchDrop},
		{"batch show", "NAME", "show what a batch holds", runBatchShow},
		{"batch list", "", "list the batches", runBatchList},
		{"batch approve", "NAME", "approve a batch to be shipped", func(args []string, stdout io.Writer) (int, error) {
			return runDecision("batch approve", batchApproveUsage, shadebook.Approved, args, stdout)
		}},
		{"batch reject", "NAME --reason TEXT", "reject a batch", func(args []string, stdout io.Writer) (int, error) {
			return runDecision("batch reject", batchRejectUsage, shadebook.Rejected, args, stdout)
		}},
		{"batch reopen", "NAME --reason TEXT", "take up a batch again that was decided on", func(args []string, stdout io.Writer) (int, error) {
			return runDecision("batch reopen", batchReopenUsage, shadebook.Reopened, args, stdout)
		}},
	}
}

const batchOpenUsage = `evenhide batch open NAME --colour NAME [options]

Begins a batch: pieces of one colour that are checked and approved together.

  --colour NAME            the colour, which the shade book knows
  --by WHO                 who opens it; not given, your name on this computer
` + bookUsage

const batchShowUsage = `evenhide batch show NAME [options]

Shows what a batch holds: verdicts, how well the pieces match each other, lots, and
what was decided.

` + lotOption + listOptions

const lotOption = `  --lot-limit 1.0          the most by which two pieces of a lot may differ (ΔE00)
`

const batchListUsage = `evenhide batch list [--json]

Lists the batches, the newest first.

` + listOptions

const batchApproveUsage = `evenhide batch approve NAME [options]

Approves a batch. As long as a piece needs something else than to be shipped, a
reason is wanted, and recorded. An approved batch takes no more photos.

  --by WHO                 who approves it; not given, your name on this computer
  --reason TEXT            why
` + bookUsage + `
Exit code: 0 approved, 1 refused for what the batch holds, 2 for anything else.
`

const batchRejectUsage = `evenhide batch reject NAME --reason TEXT [options]

Rejects a batch. It then takes no more photos.

  --by WHO                 who rejects it; not given, your name on this computer
  --reason TEXT            why
` + bookUsage

const batchReopenUsage = `evenhide batch reopen NAME --reason TEXT [options]

Takes up a batch again that was approved or rejected. What was decided stays on
record.

  --by WHO                 who does; not given, your name on this computer
  --reason TEXT            why
` + bookUsage

// byFlag is who does something.
func byFlag(fs *pflag.FlagSet) *string {
	me := ""
	if u, err := user.Current(); err == nil {
		me = cmp.Or(u.Name, u.Username)
	}
	return fs.String("by", me, "")
}

func runBatchOpen(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("batch open")
	address, by := bookFlag(fs), byFlag(fs)
	of := fs.String("colour", "", "")
	if done, code, err := parse(fs, args, batchOpenUsage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the batch's name")
	switch {
	case err != nil:
	case *of == "":
		err = misuse(fs.Name(), "no colour named: wanted --colour NAME")
	case *by == "":
		err = misuse(fs.Name(), "no telling who you are: wanted --by WHO")
	default:
		err = batch.CheckName(name)
	}
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			opened, err := b.OpenBatch(ctx, shadebook.Batch{Name: name, Colour: *of, By: *by})
			if err == nil {
				_, err = fmt.Fprintf(stdout, "%s: opened for %s\n  next: evenhide batch check NAME PHOTO|FOLDER...\n", opened.Name, opened.Colour)
			}
			return err
		})
	}
	return exitOf(err), err
}

func runBatchList(args []string, stdout io.Writer) (int, error) {
	return list("batch list", batchListUsage, args, stdout, func(ctx context.Context, b *shadebook.Book) (report.Listed, error) {
		batches, err := b.Batches(ctx)
		return report.NewBatches(batches), err
	})
}

func runBatchShow(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("batch show")
	address, asJSON := bookFlag(fs), jsonFlag(fs)
	limit := fs.Float64("lot-limit", lotLimit, "")
	if done, code, err := parse(fs, args, batchShowUsage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the batch's name")
	if err == nil {
		err = aboveNought(fs.Name(), "lot-limit", *limit)
	}
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			sum, _, _, err := sumUp(ctx, b, name, *limit)
			if err != nil {
				return err
			}
			return printListed(stdout, sum, *asJSON)
		})
	}
	return exitOf(err), err
}

// lotLimit is how far two pieces of a lot may differ unless something else is said:
// a little over what half of all people just see (Paravina 2015).
const lotLimit = 1.0

// sumUp returns what a batch holds, how it was judged, and what of it has been seen by
// that.
func sumUp(ctx context.Context, b *shadebook.Book, name string, limit float64) (out report.Batch, by batch.Judging, seen int64, err error) {
	held, err := b.BatchResult(ctx, name)
	if err != nil {
		return out, by, 0, err
	}
	history, err := b.ColourHistory(ctx, held.Batch.Colour)
	if err != nil {
		return out, by, 0, err
	}
	swatches, err := b.Swatches(ctx, held.Batch.Colour)
	if err != nil {
		return out, by, 0, err
	}
	if by, err = batch.Judge(ctx, b, &held, history, swatches); err != nil {
		return out, by, 0, err
	}
	out = batch.Sum(held, by.Verdicts, limit, colour.Weights{KL: by.KL, KC: 1, KH: 1})
	by.Tell(&out)
	return out, by, held.Moves, nil
}

// runDecision records a decision on a batch.
func runDecision(command, usage, says string, args []string, stdout io.Writer) (int, error) {
	fs := newFlags(command)
	address, by := bookFlag(fs), byFlag(fs)
	why := fs.String("reason", "", "")
	if done, code, err := parse(fs, args, usage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the batch's name")
	*why = strings.TrimSpace(*why)
	switch {
	case err != nil:
	case *by == "":
		err = misuse(command, "no telling who you are: wanted --by WHO")
	case says != shadebook.Approved && *why == "":
		err = misuse(command, "no reason given: wanted --reason TEXT")
	}
	if err != nil {
		return notMeasured, err
	}
	code := notMeasured
	err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
		sum, judged, seen, err := sumUp(ctx, b, name, lotLimit)
		if err != nil {
			return err
		}
		if says == shadebook.Approved && *why == "" && sum.State != shadebook.Approved {
			if err := unapprovable(sum); err != nil {
				code = someDoNot
				return err
			}
		}
		d := shadebook.Decision{Batch: name, Says: says, By: *by, Why: *why}
		if says != shadebook.Reopened {
			d.StateID, d.Verdicts = judged.ID, judged.Verdicts
		}
		if _, err = b.Decide(ctx, d, seen); err != nil {
			return err
		}
		_, err = fmt.Fprintf(stdout, "%s: %s by %s\n", sum.Name, says, *by)
		return err
	})
	if err == nil {
		code = allShip
	}
	return code, err
}

// unapprovable says what stands in the way of approving a batch.
func unapprovable(b report.Batch) error {
	const hint = "evenhide batch show tells more; with --reason TEXT it is approved all the same, and the reason recorded"
	switch {
	case len(b.Pieces)+len(b.NotJudged) == 0:
		return refusal.New(nil, hint, "the batch %q holds no checked piece", b.Name)
	case b.NotShipping() > 0:
		return refusal.New(nil, hint, "the batch %q cannot be approved: %s", b.Name, b.InTheWay())
	}
	return nil
}
