package main

import (
	"io"

	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

const checkUsage = `evenhide check [options] PHOTO...

Measures the pieces in each photo against the reference swatch and says what to
do with them. Places are in pixels of the upright photo, from its top left corner.

  --grey X,Y,W,H=L         a neutral step with lightness L* (repeat for more steps)
  --swatch X,Y,W,H         where the reference swatch lies in the photo
  --reference L,a,b        or its Lab (D65, 2°), instead of --swatch
  --piece [NAME=]X,Y,W,H   what to judge (repeat for more)
  --tolerance 2.0          ship up to this ΔE00
  --blotch-tolerance 1.5   ship up to this RMS blotch (ΔE00)
  --kl 1                   lightness weight (2 suits strongly grained leather)
  --max-megapixels 120     refuse larger photos
  --json                   print the result as JSON

Exit code: 0 every piece ships, 1 some piece needs something else, 2 something
could not be measured (the other photos are still reported).
`

// checkFlags are the options of check as typed.
type checkFlags struct {
	greys, pieces              []string
	swatch, reference          string
	tolerance, blotchTolerance float64
	kl                         float64
	maxMegapixels              float64
	json                       bool
}

// runCheck is the command check.
func runCheck(args []string, stdout io.Writer) (int, error) {
	var o checkFlags
	fs := newFlags("check")
	fs.StringArrayVar(&o.greys, "grey", nil, "")
	fs.StringVar(&o.swatch, "swatch", "", "")
	fs.StringVar(&o.reference, "reference", "", "")
	fs.StringArrayVar(&o.pieces, "piece", nil, "")
	fs.Float64Var(&o.tolerance, "tolerance", 2.0, "")
	fs.Float64Var(&o.blotchTolerance, "blotch-tolerance", 1.5, "")
	fs.Float64Var(&o.kl, "kl", 1, "")
	fs.Float64Var(&o.maxMegapixels, "max-megapixels", 120, "")
	fs.BoolVar(&o.json, "json", false, "")
	if done, code, err := parse(fs, args, checkUsage, stdout); done {
		return code, err
	}
	rq, err := o.request()
	if err == nil && fs.NArg() == 0 {
		err = misuse("check", "no photo named")
	}
	if err != nil {
		return notMeasured, err
	}
	result := report.Report{Version: report.Version}
	for _, path := range fs.Args() {
		result.Photos = append(result.Photos, check.Photo(path, rq))
	}
	write := report.WriteText
	if o.json {
		write = report.WriteJSON
	}
	return exitCode(result), write(stdout, result)
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
		const most = 1000 // no limit that means anything is larger, and NaN is not smaller
		if !(n.value > 0 && n.value <= most) {
			return rq, misuse("check", "--%s %v: wanted a number above 0, at most %d", n.name, n.value, most)
		}
	}
	var err error
	if rq.Greys, err = greyPlaces(o.greys); err != nil {
		return rq, err
	}
	if rq.Pieces, err = piecePlaces(o.pieces); err != nil {
		return rq, err
	}
	return rq, o.setReference(&rq)
}

func (o checkFlags) setReference(rq *check.Request) error {
	switch {
	case o.swatch == "" && o.reference == "":
		return misuse("check", "nothing to compare with: give --swatch or --reference")
	case o.swatch != "" && o.reference != "":
		return misuse("check", "--swatch and --reference exclude each other")
	case o.swatch != "":
		rect, err := parseRect("--swatch", o.swatch)
		rq.Swatch = &check.Place{Option: "--swatch " + o.swatch, Rect: rect}
		return err
	}
	lab, err := parseLab("--reference", o.reference)
	rq.Reference = &lab
	return err
}
