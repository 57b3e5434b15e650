package dye

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

var (
	// ErrLadder: dabs that make no strength curve.
	ErrLadder = errors.New("no ladder")
	// ErrOffLadder: a strength that the ladder does not reach.
	ErrOffLadder = errors.New("beyond the ladder")
)

// Rung is a dab of a known dilution.
type Rung struct {
	Concentration float64 // of the bottle: 1 as it is, 0.5 with as much water
	Strength, U   float64 // as Relative gives them
}

// Ladder is how strength grows with the concentration of one dye: what replaces
// proportion for a dye that does not keep to it. It rises from no dye at all, by
// straight pieces between the rungs, and ends at the last.
type Ladder struct{ rungs []Rung }

// NewLadder returns the rising curve that misses the rungs least, in squares
// weighted by 1/U²: rungs that fall are pooled with their neighbours (isotonic
// regression by pooling adjacent violators).
//
// The error is ErrLadder for fewer than two concentrations, and for a value that
// is not a number above 0.
func NewLadder(rungs []Rung) (Ladder, error) {
	for _, r := range rungs {
		if !(r.Concentration > 0 && r.Strength > 0 && r.U > 0) || math.IsInf(r.Concentration+r.Strength+r.U, 0) {
			return Ladder{}, fmt.Errorf("%w: concentration %g has strength %g ± %g", ErrLadder, r.Concentration, r.Strength, r.U)
		}
	}
	merged := merge(rungs)
	if len(merged) < 2 {
		return Ladder{}, fmt.Errorf("%w: one concentration found, 2 wanted", ErrLadder)
	}
	return Ladder{pool(merged)}, nil
}

// Disordered finds two rungs of which the one with more dye is weaker by more than both
// are known to: their concentrations are mistaken.
func Disordered(rungs []Rung) (more, less int, found bool) {
	for i, m := range rungs {
		for k, l := range rungs {
			if m.Concentration > l.Concentration && l.Strength-m.Strength > math.Hypot(m.U, l.U) {
				return i, k, true
			}
		}
	}
	return 0, 0, false
}

// merge returns the rungs by rising concentration, those of one concentration as
// their weighted mean.
func merge(rungs []Rung) []Rung {
	sorted := slices.Clone(rungs)
	slices.SortFunc(sorted, func(a, b Rung) int { return cmp.Compare(a.Concentration, b.Concentration) })
	var out []Rung
	for _, r := range sorted {
		if n := len(out); n > 0 && out[n-1].Concentration == r.Concentration {
			out[n-1] = mean(out[n-1], r)
			continue
		}
		out = append(out, r)
	}
	return out
}

// mean returns the weighted mean of two rungs, at the first's concentration.
func mean(a, b Rung) Rung {
	wa, wb := 1/(a.U*a.U), 1/(b.U*b.U)
	return Rung{a.Concentration, (wa*a.Strength + wb*b.Strength) / (wa + wb), 1 / math.Sqrt(wa+wb)}
}

// pool returns the rungs with strengths that never fall.
func pool(rungs []Rung) []Rung {
	type block struct {
		Rung
		n int
	}
	var blocks []block
	for _, r := range rungs {
		b := block{r, 1}
		for len(blocks) > 0 && blocks[len(blocks)-1].Strength > b.Strength {
			last := blocks[len(blocks)-1]
			blocks = blocks[:len(blocks)-1]
			b = block{mean(last.Rung, b.Rung), last.n + b.n}
		}
		blocks = append(blocks, b)
	}
	out := slices.Clone(rungs)
	i := 0
	for _, b := range blocks {
		for range b.n {
			out[i].Strength, out[i].U = b.Strength, b.U
			i++
		}
	}
	return out
}

// Strength returns the strength at a concentration of the bottle, and ErrOffLadder
// above the highest rung's or below 0.
func (l Ladder) Strength(concentration float64) (float64, error) {
	from := Rung{}
	if concentration >= 0 {
		for _, r := range l.rungs {
			if concentration <= r.Concentration {
				t := (concentration - from.Concentration) / (r.Concentration - from.Concentration)
				return min(from.Strength+t*(r.Strength-from.Strength), r.Strength), nil // rounding passes the top rung
			}
			from = r
		}
	}
	return 0, fmt.Errorf("%w: concentration %g, the highest dab has %g", ErrOffLadder, concentration, from.Concentration)
}

// Concentration returns the lowest and the highest concentration of the bottle
// that give a strength; they differ where the curve is flat. ErrOffLadder above
// the highest rung's strength and below 0.
func (l Ladder) Concentration(strength float64) (lowest, highest float64, err error) {
	from, found := Rung{}, false
	for _, r := range l.rungs {
		if strength >= from.Strength && strength <= r.Strength {
			at := from.Concentration
			if r.Strength > from.Strength {
				at += (strength - from.Strength) / (r.Strength - from.Strength) * (r.Concentration - from.Concentration)
			}
			if !found {
				lowest, found = at, true
			}
			highest = at
			if strength == r.Strength {
				highest = r.Concentration
			}
		}
		from = r
	}
	if !found {
		return 0, 0, fmt.Errorf("%w: strength %.2f, the strongest dab has %.2f", ErrOffLadder, strength, from.Strength)
	}
	return lowest, highest, nil
}

// Thinning returns the water, in ml for 100 ml of the bottle, that brings it to
// the reference's strength: ML from the curve, Least and Most by the uncertainty
// of the dabs beside it. ErrOffLadder where no dab is as strong as the reference,
// ErrNotStrong where only the undiluted bottle is, and ErrLadder where the dabs
// tell nothing.
func (l Ladder) Thinning() (Water, error) {
	lowest, highest, err := l.Concentration(1)
	if err != nil {
		return Water{}, err
	}
	middle := (lowest + highest) / 2
	if middle >= 1 {
		return Water{}, fmt.Errorf("%w: as strong undiluted", ErrNotStrong)
	}
	u := l.uncertainty(lowest, highest)
	if u >= 1 {
		return Water{}, fmt.Errorf("%w: strength known to ± %.1f", ErrLadder, u)
	}
	weakest, _, err := l.Concentration(1 - u)
	if err != nil {
		return Water{}, err
	}
	_, strongest, err := l.Concentration(1 + u)
	if err != nil { // the ladder's end is as far as the dabs can say
		strongest = l.rungs[len(l.rungs)-1].Concentration
	}
	ml := func(c float64) float64 { return max(0, 100*(1/c-1)) }
	return Water{ML: ml(middle), Least: ml(strongest), Most: ml(weakest)}, nil
}

// uncertainty returns the largest U of the rungs that the curve between two
// concentrations hangs on.
func (l Ladder) uncertainty(lowest, highest float64) float64 {
	u, below := 0.0, 0.0
	for _, r := range l.rungs {
		if below <= highest && r.Concentration >= lowest {
			u = max(u, r.U)
		}
		below = r.Concentration
	}
	return u
}
