package record

import (
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Judge judges a piece by other limits than those it was checked by, with its reasons.
// It was held against ref with the weights w. What could not be judged stays so.
func Judge(p report.Piece, ref report.Reference, w colour.Weights, lim tolerance.Limits) (tolerance.Verdict, []string) {
	m := p.Measures
	if m == nil || p.Verdict == tolerance.Retake {
		return p.Verdict, p.Reasons
	}
	d := tolerance.Difference{Split2000: colour.Difference2000(lab(ref.Lab), lab(m.Lab), w), DE: m.DE00, U: m.U, Interval: m.Interval}
	var depth *tolerance.Depth
	if k := m.Depth; k != nil {
		depth = &tolerance.Depth{Strength: k.Strength, Interval: k.Interval, Words: k.Words,
			Shade: tolerance.Difference{DE: k.ShadeDE00, Interval: k.ShadeInterval}}
	}
	return tolerance.Judge(d, m.Blotch.RMS, depth, lim)
}
