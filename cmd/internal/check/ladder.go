package check

import (
	"errors"
	"fmt"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/colour/dye"
)

// Ladder reads the dabs in the photo at path as a ladder of one bottle: each has the
// part of dye that parts gives, in reading order.
func Ladder(path string, rq DabRequest, parts []float64) (report.Ladder, error) {
	out := report.Ladder{Version: report.Version, File: path}
	fail := func(err error) (report.Ladder, error) { return out, fmt.Errorf("%s: %w", path, err) }
	t, p, err := rq.dabTable(path)
	if err != nil {
		return out, err
	}
	out.Taken, out.Camera, out.Card, out.Calibration = report.Time(p.Taken), p.Camera, t.cardFound(), t.calibration()
	out.Light, out.HideLab, out.HideDoubt = rq.Light, report.Triple(t.hide.Lab), report.NewHideDoubt(t.hide)
	if len(parts) != len(t.dabs) {
		return fail(refusal.New(nil, "give the part of dye of each dab in reading order, 1 for the bottle as it is",
			"--parts is for %d dabs, and %d lie on the sheet", len(parts), len(t.dabs)))
	}
	each := make([][]piece, len(t.dabs))
	for i, d := range t.dabs {
		each[i] = []piece{d}
	}
	var rungs []dye.Rung
	for i, l := range t.read(each, rq.Bottle.Shade) {
		s, depth, err := t.strength(l, t.unbent())
		if err != nil {
			return fail(refusal.New(err, hintFor(err), "dab %d, part %g: %v", i+1, parts[i], err))
		}
		if off := depth.Shade.Interval[0]; off > rq.Bottle.Shade {
			return fail(refusal.New(nil, "lay every dab from the one bottle, on the reference's kind of hide, and take the photo again; water mends no shade",
				"dab %d, part %g: off in shade by %.1f or more at equal strength: %s", i+1, parts[i], off, depth.Words))
		}
		rungs = append(rungs, dye.Rung{Concentration: parts[i], Strength: s.Value, U: s.U})
		out.Rungs = append(out.Rungs, report.Rung{Part: parts[i], Cov: l.seen.Cov, Shared: report.NewShared(l.seen), Lit: l.seen.Lit, U: s.U, Strength: strengthOf(l.seen, depth)})
	}
	if rq.Show != nil {
		rq.Show(t.subject([][]piece{t.dabs}, nil, nil))
	}
	ladder, err := dye.NewLadder(rungs)
	if err != nil {
		return fail(refusal.New(err, "lay two dabs or more of different dilutions", "%v", err))
	}
	if more, less, found := dye.Disordered(rungs); found {
		return fail(refusal.New(nil, "give --parts in reading order, row by row from the left, 1 for the bottle as it is",
			"dab %d, with a part %g of dye, is weaker than dab %d with %g", more+1, parts[more], less+1, parts[less]))
	}
	w, err := ladder.Thinning()
	out.Advice = ladderAdvice(err)
	if err == nil {
		out.Water = report.Water{ML: [2]float64{w.Least, w.Most}, Likely: w.ML}
		out.Advice = out.Water.String()
		if rq.ML > 0 {
			out.InHand = out.Water.For(rq.ML)
		}
	}
	return out, nil
}

// ladderAdvice says why there is no water to add.
func ladderAdvice(err error) string {
	switch {
	case errors.Is(err, dye.ErrNotStrong):
		return "add no water: it is the undiluted dye that is as strong as the reference"
	case errors.Is(err, dye.ErrOffLadder):
		return "add no water: no dab is as strong as the reference; shake the bottle and lay the ladder again"
	case err != nil:
		return "no telling: the dabs are too uncertain; lay them larger and take the photo closer"
	}
	return ""
}
