package check

import (
	"fmt"

	"evenhide/calibrate"
	"evenhide/cmd/internal/report"
	"evenhide/colour/tolerance"
)

// Reference is what dabs on the sheet are called that are of the same dye as the one in
// the card's swatch window, and count with it.
const Reference = "reference"

// refer takes dabs on the sheet, and what lies in the swatch window, for the reference
// together, but those that are farther than limit, ΔE00, from it.
func (t *dabTable) refer(dabs []piece, limit float64) report.ReferenceDabs {
	const lay = "see that all dabs called reference are of one dye, laid alike on one hide, and lay those anew that are not"
	out := report.ReferenceDabs{Dabs: []report.ReferenceDab{}}
	window := t.ref
	all := []tolerance.Estimate{window.Estimate}
	for _, d := range dabs {
		told := report.ReferenceDab{Name: d.name, Box: t.pixels(d.region.Rect)}
		r, err := t.dab(d)
		if err != nil {
			told.Reason, told.Hint = err.Error(), hintFor(err)
			out.Dabs = append(out.Dabs, told)
			continue
		}
		e := patchy(t.estimate(d, r))
		off := tolerance.Between(window.Estimate, t.lit(e, window.from, r), t.rq.Weights, window.model)
		told.Measured = true
		told.Lab, told.DE00, told.Interval = report.Triple(r.Lab), off.DE, off.Interval
		if told.Counted = off.Interval[0] <= limit; told.Counted {
			all = append(all, e)
			t.ref.from = append(t.ref.from, calibrate.From{X: r.X, Y: r.Y})
		} else {
			told.Reason, told.Hint = fmt.Sprintf("differs from the one in the card's window by ΔE00 %.1f or more", off.Interval[0]), lay
		}
		out.Dabs = append(out.Dabs, told)
	}
	t.ref.Estimate, t.ref.places = mean(all, knownDabs), len(all)
	for i := range t.ref.from {
		t.ref.from[i].Share = 1 / float64(len(all))
	}
	out.Lab = report.Triple(t.ref.Lab)
	return out
}
