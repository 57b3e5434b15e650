package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"runtime"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"evenhide/cmd/internal/batch"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

const batchCheckUsage = `evenhide batch check NAME PHOTO|FOLDER... [options]

Checks the photos of a batch, in a folder all of them, against the swatch in each
photo or else the colour's kept one, stores what each gave, and sums up what the
batch now holds. Photos that the batch holds already are skipped, so after a break
the same command goes on where it was. A photo that was dropped is skipped in a
folder, and taken back when it is named itself.

` + lotOption + `  --replaces PHOTO         the one photo takes the place of that one in the batch
  --light NAME             the light of the photos; where it is that of the kept
                           swatch, and so is the camera, the interval is narrower
  --card FILE              measured greys of a card, from evenhide card measure
                           (repeat for more cards)
  --workers N              photos to check at once, a core each; not given, all cores
  --max-megapixels 120     refuse larger photos
` + listOptions + `
A piece is called by batch, photo and its number in the photo: "belts/IMG_0412/2".

Exit code: 0 every piece of the batch ships, 1 some piece needs something else, 2
something could not be measured.
`

// batchFlags are the options of batch check as typed.
type batchFlags struct {
	book          *string
	json          *bool
	lotLimit      float64
	replaces      string
	light         string
	cards         []string
	workers       int
	maxMegapixels float64
}

func runBatchCheck(args []string, stdout io.Writer) (int, error) {
	const command = "batch check"
	var o batchFlags
	fs := newFlags(command)
	o.book, o.json = bookFlag(fs), jsonFlag(fs)
	fs.Float64Var(&o.lotLimit, "lot-limit", lotLimit, "")
	fs.StringVar(&o.replaces, "replaces", "", "")
	fs.StringVar(&o.light, "light", "", "")
	fs.StringArrayVar(&o.cards, "card", nil, "")
	fs.IntVar(&o.workers, "workers", runtime.NumCPU(), "")
	fs.Float64Var(&o.maxMegapixels, "max-megapixels", 120, "")
	if done, code, err := parse(fs, args, batchCheckUsage, stdout); done {
		return code, err
	}
	rq, err := o.request(command)
	if err == nil && fs.NArg() < 2 {
		err = misuse(command, "wanted the batch's name and its photos, or a folder of them")
	}
	if err != nil {
		return notMeasured, err
	}
	photos, named, err := batch.Photos(fs.Args()[1:])
	if err == nil && o.replaces != "" && len(photos) != 1 {
		err = misuse(command, "--replaces %s: wanted one photo to take its place, found %d", o.replaces, len(photos))
	}
	if err != nil {
		return notMeasured, err
	}
	// Each photo is measured on as many cores as there are; so many for all of them.
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(o.workers))
	code := notMeasured
	err = withBook(*o.book, func(ctx context.Context, b *shadebook.Book) error {
		sum, err := o.check(ctx, b, fs.Arg(0), rq, photos, named)
		if err != nil {
			return err
		}
		code = batchExit(sum)
		return printListed(stdout, sum, *o.json)
	})
	if err != nil {
		code = notMeasured
	}
	return code, err
}

// batchExit returns what the worst of a batch asks for.
func batchExit(b report.Batch) int {
	switch {
	case b.Retakes() > 0:
		return notMeasured
	case b.NotShipping() > 0:
		return someDoNot
	}
	return allShip
}

// request checks the options and turns them into what is asked for.
func (o batchFlags) request(command string) (rq check.Request, err error) {
	if err := aboveNought(command, "lot-limit", o.lotLimit); err != nil {
		return rq, err
	}
	if err := aboveNought(command, "max-megapixels", o.maxMegapixels); err != nil {
		return rq, err
	}
	const most = 1024 // more cores than any bench has
	if o.workers < 1 || o.workers > most {
		return rq, misuse(command, "--workers %d: wanted a number from 1 to %d", o.workers, most)
	}
	rq.MaxPixels, rq.Light = int(1e6*o.maxMegapixels), o.light
	rq.Measured, err = readCards(command, o.cards)
	return rq, err
}

// check checks the photos into the batch and returns what it then holds.
func (o batchFlags) check(ctx context.Context, b *shadebook.Book, name string, rq check.Request, photos []shadebook.PhotoFile, named map[string]bool) (report.Batch, error) {
	held, err := b.BatchResult(ctx, name)
	if err != nil {
		return report.Batch{}, err
	}
	c, err := b.ColourNamed(ctx, held.Batch.Colour)
	if err != nil {
		return report.Batch{}, err
	}
	if rq, err = againstColour(ctx, b, c, rq); err != nil {
		return report.Batch{}, err
	}
	run := batch.Run{Book: b, Batch: held.Batch.Name, Request: rq, Workers: o.workers, Back: named, Begin: func(todo int) func() {
		noteSkipped(len(photos), todo)
		for _, d := range held.Dropped {
			if named[d.Photo.SHA256] {
				fmt.Fprintf(os.Stderr, "note: %s was dropped before and is taken back\n", d.Photo.File)
			}
		}
		return progress(todo)
	}}
	if o.replaces != "" {
		if run.Replaced, err = batch.Replaced(held, o.replaces, photos[0]); err != nil {
			return report.Batch{}, err
		}
	}
	if err := run.Check(ctx, photos); err != nil {
		return report.Batch{}, err
	}
	sum, _, _, err := sumUp(ctx, b, held.Batch.Name, o.lotLimit)
	return sum, err
}

// noteSkipped tells of photos that are not checked again, beside the result: that
// is of the whole batch, and the same whatever was skipped.
func noteSkipped(photos, todo int) {
	if skipped := photos - todo; skipped > 0 {
		fmt.Fprintf(os.Stderr, "note: skipped %d of %d photos, which were checked for this batch before\n", skipped, photos)
	}
}

// progress draws a bar of the photos checked, on a terminal only.
func progress(todo int) (each func()) {
	if todo == 0 || !term.IsTerminal(int(os.Stderr.Fd())) {
		return func() {}
	}
	bar := progressbar.NewOptions(todo, progressbar.OptionSetWriter(os.Stderr), progressbar.OptionSetDescription("checking photos"),
		progressbar.OptionShowCount(), progressbar.OptionClearOnFinish())
	return func() { _ = bar.Add(1) } // a bar that cannot be drawn is no reason to stop
}
