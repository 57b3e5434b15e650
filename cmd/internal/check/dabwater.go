package check

import (
	"errors"

	"evenhide/cmd/internal/report"
	"evenhide/colour/dye"
)

// KeptLadder is a ladder of a dye, and what it is called in a sentence.
type KeptLadder struct {
	dye.Ladder
	Told string
}

// water returns the water for a bottle of strength s, and by what it is told if not by
// proportion alone. A ladder knows how its dye bends, and needs no allowance for that.
func (t *dabTable) water(s dye.Strength, l bottleDabs, by KeptLadder) (report.Water, string) {
	w, err := dye.Thinning(s)
	told := ""
	if by.Told != "" {
		unbent, _, unread := t.strength(l, t.unbent())
		byLadder, off := by.Water(unbent)
		switch {
		case unread == nil && off == nil && unbent.Interval[0] > by.Strongest():
			w, err, told = byLadder, nil, by.Told+", beyond its strongest dab: lay a new one"
		case unread == nil && off == nil:
			w, err, told = byLadder, nil, by.Told
		case errors.Is(off, dye.ErrOffLadder):
			told = "proportion: no dab of " + by.Told + " is as strong as the reference"
		default:
			told = "proportion: " + by.Told + " is too uncertain"
		}
	}
	if err != nil { // not stronger than the reference, and a bottle to be thinned is
		return report.Water{}, ""
	}
	return report.Water{ML: [2]float64{w.Least, w.Most}, Likely: w.ML}, told
}

// unbent are the options where dabs themselves tell what strength a concentration has.
func (t *dabTable) unbent() dye.Options {
	o := t.options
	o.Power, o.Bend = 1, 0
	return o
}
