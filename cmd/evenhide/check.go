package main

import (
	"context"
	"errors"
	"io"
	"os"

	"github.com/spf13/pflag"

	"evenhide/calibrate/card"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

const checkUsage = `evenhide check [options] PHOTO...

Finds the card and the pieces in each photo, measures each piece against the
swatch in the card's window, and says what to do with it.

  --tolerance 2.0          ship up to this ΔE00
  --blotch-tolerance 1.5   ship up to this RMS blotch (ΔE00)
  --kl 1                   lightness weight (2 suits strongly grained leather)
  --card FILE              measured greys of a card, from evenhide card measure
                           (repeat for more cards)
  --colour NAME            a colour of the shade book: its tolerances and kL hold where
                           none are given here, and its kept swatch where none lies
                           in the card's window
  --light NAME             what you call this light: the kept swatch holds better in
                           the light of the same name, with the same camera
  --reference L,a,b        the reference as Lab (D65, 2°) instead of a swatch
  --same-light             that reference, or the kept swatch, was read in this light
                           with this camera
  --keep                   store the result in the shade book, for --colour; evenhide
                           check drop takes it back
  --called NAME,...        what the pieces are called, in reading order (of one photo);
                           else PHOTO/1, PHOTO/2 and so on
  --replaces NUMBER        the one photo takes the place of that check, which no longer
                           counts: of a wrong name, or a photo that was not good enough
  --taken "2026-03-10 14:30"   when the photo was taken, where its file does not say or
                           is wrong: a piece with coats must have been dry by then
  --piece [NAME=]X,Y,W,H   what to judge, instead of what is found (repeat for more)
  --zone NAME=X,Y,W,H      a part to judge on its own (repeat for more)
  --picture FILE           draw what was measured on the photo; .png or .jpg
                           (of several photos: FILE-1, FILE-2 and so on); it takes
                           the place of an older picture, but of no other file
  --json                   print the result as JSON
  --max-megapixels 120     refuse larger photos
` + bookUsage + `
With any bought grey card instead of the printed one:

  --grey X,Y,W,H=L         a neutral step with lightness L* (repeat for more steps)
  --swatch X,Y,W,H         where the reference swatch lies

Places are in pixels of the upright photo, from its top left corner.

Exit code: 0 every piece ships, 1 some piece needs something else, 2 something
could not be measured (the other photos are still reported).
`

// checkFlags are the options of check as typed.
type checkFlags struct {
	greys, pieces, zones       []string
	cards                      []string
	swatch, reference, picture string
	sameLight                  bool
	tolerance, blotchTolerance float64
	kl                         float64
	maxMegapixels              float64
	colour, light, called      string
	taken                      string
	keep                       bool
	replaces                   int64
	book                       *string
	json                       *bool
	names                      []string                 // what called says, nil for nothing
	typed                      func(option string) bool // whether it was given
}

func checkCommands() []command {
	return []command{
		{"check", "PHOTO...", "measure pieces in photos and judge them", runCheck},
		{"check drop", "N", "take back a check kept by mistake", runCheckDrop},
	}
}

func newCheckFlags(fs *pflag.FlagSet) *checkFlags {
	o := &checkFlags{typed: fs.Changed}
	fs.StringArrayVar(&o.greys, "grey", nil, "")
	fs.StringVar(&o.swatch, "swatch", "", "")
	fs.StringVar(&o.reference, "reference", "", "")
	fs.StringArrayVar(&o.pieces, "piece", nil, "")
	fs.StringArrayVar(&o.zones, "zone", nil, "")
	fs.StringArrayVar(&o.cards, "card", nil, "")
	fs.StringVar(&o.picture, "picture", "", "")
	fs.BoolVar(&o.sameLight, "same-light", false, "")
	fs.Float64Var(&o.tolerance, "tolerance", 2.0, "")
	fs.Float64Var(&o.blotchTolerance, "blotch-tolerance", 1.5, "")
	fs.Float64Var(&o.kl, "kl", 1, "")
	fs.Float64Var(&o.maxMegapixels, "max-megapixels", 120, "")
	fs.StringVar(&o.colour, "colour", "", "")
	fs.StringVar(&o.light, "light", "", "")
	fs.StringVar(&o.called, "called", "", "")
	fs.StringVar(&o.taken, "taken", "", "")
	fs.BoolVar(&o.keep, "keep", false, "")
	fs.Int64Var(&o.replaces, "replaces", 0, "")
	o.book, o.json = bookFlag(fs), jsonFlag(fs)
	return o
}

// runCheck is the command check.
func runCheck(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("check")
	o := newCheckFlags(fs)
	if done, code, err := parse(fs, args, checkUsage, stdout); done {
		return code, err
	}
	rq, err := o.request()
	if err == nil {
		err = o.suit(fs.Args())
	}
	if err != nil {
		return notMeasured, err
	}
	draw, err := newPictures(o.picture, fs.Args())
	if err != nil {
		return notMeasured, err
	}
	result := report.Report{Version: report.Version}
	if o.colour == "" {
		for i, path := range fs.Args() {
			result.Photos = append(result.Photos, check.Photo(path, draw.shown(i, rq)))
		}
	} else {
		err = withBook(*o.book, func(ctx context.Context, b *shadebook.Book) (err error) {
			result.Photos, err = o.byBook(ctx, b, rq, draw, fs.Args())
			return err
		})
	}
	if len(result.Photos) > 0 {
		if *o.json {
			err = errors.Join(report.WriteJSON(stdout, result), err)
		} else {
			err = errors.Join(report.WriteText(stdout, result), err)
		}
	}
	if err := errors.Join(err, draw.failed()); err != nil {
		return notMeasured, err
	}
	return exitCode(result), nil
}

// exitCode returns what the worst of all photos asks for.
func exitCode(r report.Report) int {
	code := allShip
	for _, p := range r.Photos {
		if p.Error != "" {
			return notMeasured
		}
		for _, piece := range p.Pieces {
			switch piece.Verdict {
			case tolerance.Ship:
			case tolerance.Retake:
				return notMeasured
			default:
				code = someDoNot
			}
		}
	}
	return code
}

// request checks the options and turns them into what is asked for.
func (o checkFlags) request() (check.Request, error) {
	rq := check.Request{
		Limits:    tolerance.Limits{DE: o.tolerance, Blotch: o.blotchTolerance},
		Weights:   colour.Weights{KL: o.kl, KC: 1, KH: 1},
		MaxPixels: int(1e6 * o.maxMegapixels),
	}
	for _, n := range []struct {
		name  string
		value float64
	}{{"tolerance", o.tolerance}, {"blotch-tolerance", o.blotchTolerance}, {"kl", o.kl}, {"max-megapixels", o.maxMegapixels}} {
		if err := aboveNought("check", n.name, n.value); err != nil {
			return rq, err
		}
	}
	var err error
	if rq.Greys, err = greyPlaces("check", o.greys); err != nil {
		return rq, err
	}
	if rq.Pieces, rq.Zones, err = piecePlaces(o.pieces, o.zones); err != nil {
		return rq, err
	}
	if rq.Measured, err = readCards("check", o.cards); err != nil {
		return rq, err
	}
	return rq, o.setReference(&rq)
}

func (o checkFlags) setReference(rq *check.Request) (err error) {
	rq.SameLight, rq.Light = o.sameLight, o.light
	switch {
	case o.swatch != "" && o.reference != "":
		return misuse("check", "--swatch and --reference exclude each other")
	case o.sameLight && o.reference == "" && o.colour == "":
		return misuse("check", "--same-light says something of --reference or --colour, which are not given")
	case o.swatch != "":
		rq.Swatch = &check.Place{Option: "--swatch " + o.swatch}
		rq.Swatch.Rect, err = parseRect("check", "--swatch", o.swatch)
	case o.reference != "":
		rq.Reference = new(colour.Lab)
		*rq.Reference, err = parseLab("check", "--reference", o.reference)
	case len(rq.Greys) > 0 && o.colour == "":
		return misuse("check", "nothing to compare with: give --swatch, --reference or --colour")
	}
	if err == nil && len(rq.Greys) > 0 && len(rq.Pieces) == 0 {
		return misuse("check", "nothing to judge: with --grey give at least one --piece X,Y,W,H")
	}
	return err
}

// readCards reads files of measured greys.
func readCards(command string, paths []string) (map[string]card.Measured, error) {
	cards := map[string]card.Measured{}
	for _, path := range paths {
		f, err := os.Open(path)
		if err != nil {
			return nil, misuse(command, "--card %s: %v", path, errors.Unwrap(err))
		}
		m, err := card.ReadMeasured(f, path)
		f.Close()
		if err != nil {
			return nil, err
		}
		cards[m.Serial] = m
	}
	return cards, nil
}
