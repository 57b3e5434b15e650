package dye

import (
	"fmt"
	"math"
)

// Strongest returns the strength of the ladder's strongest dab.
func (l Ladder) Strongest() float64 { return l.rungs[len(l.rungs)-1].Strength }

// Water returns the water, in ml for 100 ml, that brings a bottle of the ladder's
// dye to the reference's strength: s is what a dab of the bottle has now, and the
// bottle need not be the one that the ladder was laid from, nor as strong as then.
// Above the strongest dab, concentration goes on in proportion to strength, which
// asks for rather too little water than too much. Least and Most hold what s and the
// dabs beside s and beside strength 1 leave uncertain.
//
// The error is ErrNotStrong for a strength of 1 or less, ErrOffLadder where no dab is
// as strong as the reference, and ErrLadder where the dabs tell nothing.
func (l Ladder) Water(s Strength) (Water, error) {
	if !(s.Value > 1) {
		return Water{}, fmt.Errorf("%w: strength %.2f", ErrNotStrong, s.Value)
	}
	if l.Strongest() < 1 {
		return Water{}, fmt.Errorf("%w: the strongest dab has %.2f", ErrOffLadder, l.Strongest())
	}
	now := l.part(s.Value, s.Value-s.Interval[0], s.Interval[1]-s.Value)
	right := l.part(1, 0, 0)
	if !(now.least > 0 && right.least > 0) {
		return Water{}, fmt.Errorf("%w: the dabs are too uncertain", ErrLadder)
	}
	ratio := now.likely / right.likely
	down := math.Hypot(math.Log(now.likely/now.least), math.Log(right.most/right.likely))
	up := math.Hypot(math.Log(now.most/now.likely), math.Log(right.likely/right.least))
	ml := func(ratio float64) float64 { return max(0, 100*(ratio-1)) }
	return Water{ML: ml(ratio), Least: ml(ratio * math.Exp(-down)), Most: ml(ratio * math.Exp(up))}, nil
}

// concentration is a concentration of the ladder's bottle, and how far it is known.
type concentration struct{ least, likely, most float64 }

// part returns the concentration that gives a strength, which may be less by down
// and more by up besides what the dabs leave open; least is 0 where that is anything.
func (l Ladder) part(strength, down, up float64) concentration {
	lowest, highest := l.reach(strength)
	u := l.uncertainty(lowest, highest)
	if lowest > l.rungs[len(l.rungs)-1].Concentration {
		u = l.rungs[len(l.rungs)-1].U
	}
	out := concentration{likely: (lowest + highest) / 2}
	if at := strength - math.Hypot(down, u); at > 0 {
		out.least, _ = l.reach(at)
	}
	_, out.most = l.reach(strength + math.Hypot(up, u))
	return out
}

// reach is Concentration that goes on in proportion above the strongest dab.
func (l Ladder) reach(strength float64) (lowest, highest float64) {
	lowest, highest, err := l.Concentration(strength)
	if err != nil {
		top := l.rungs[len(l.rungs)-1]
		lowest = top.Concentration * strength / top.Strength
		highest = lowest
	}
	return lowest, highest
}
