package dye

import "evenhide/colour"

// worthADye is by how much, in ΔE00, another dye in the blend must come closer
// to be worth its bottle: about what is seen at best on an even surface (our own
// choice, as colour.InWords names from 0.3).
const worthADye = 0.3

// Propose returns up to three blends in whole parts for a target on the hide,
// the fewest dyes first: the closest of one dye, then of two and of three where
// that comes closer by 0.3 ΔE00. All whole parts up to MostParts are tried, water
// among them, so each is the closest there is by the prediction; that is only as
// good as K/S is additive. Nearest is never further off than they are: where its DE is
// above the tolerance the target is out of reach.
//
// The error is ErrParts for no bottles or over MostBottles, ErrSameDye,
// ErrReference for a bottle that does not darken the hide, or ErrReflectance.
func Propose(hide, target colour.LinearRGB, bottles []Bottle, w colour.Weights) ([]Proposal, Nearest, error) {
	p, err := newPalette(hide, bottles)
	if err != nil {
		return nil, Nearest{}, err
	}
	t, err := p.checked("the target", target, Saunderson{})
	if err != nil {
		return nil, Nearest{}, err
	}
	w = orUnit(w)
	s := search{palette: p, target: p.lab(t), weights: w}
	for i := range bottles {
		s.all = append(s.all, i)
	}
	var out []Proposal
	for dyes := 1; dyes <= min(mostDyes, len(bottles)); dyes++ {
		s.best = Proposal{DE: 1e9}
		s.choose(nil, dyes, 0)
		if len(out) == 0 || s.best.DE < out[len(out)-1].DE-worthADye {
			s.best.Words = colour.InWords(s.target, s.best.Predicted, w)
			out = append(out, s.best)
		}
	}
	return out, s.nearest(t, out[len(out)-1]), nil
}

// search goes through all blends of a number of dyes.
type search struct {
	*palette
	target  colour.Lab
	weights colour.Weights
	best    Proposal
	all     []int // the bottles' indices
}

// choose tries every way to add more dyes, from index first on, to those chosen.
func (s *search) choose(chosen []int, more, first int) {
	if more == 0 {
		s.count(chosen, nil, MostParts)
		return
	}
	for i := first; i <= len(s.dyes)-more; i++ {
		s.choose(append(chosen[:len(chosen):len(chosen)], i), more-1, i+1)
	}
}

// count tries every number of parts, at least 1 each, for the chosen dyes that
// have none yet, and then of water, with left parts to go.
func (s *search) count(chosen, parts []int, left int) {
	if len(parts) == len(chosen) {
		for water := range left + 1 {
			s.try(chosen, parts, water)
		}
		return
	}
	for n := 1; n <= left-(len(chosen)-len(parts)-1); n++ {
		s.count(chosen, append(parts[:len(parts):len(parts)], n), left-n)
	}
}

func (s *search) try(chosen, parts []int, water int) {
	common, total := water, float64(water)
	for _, n := range parts {
		total += float64(n)
		for common, n = n, common; n != 0; common, n = n, common%n {
		}
	}
	if common > 1 {
		return // 2:4 is 1:2, tried already
	}
	at := 0
	lab := s.at(func(int) float64 { at++; return float64(parts[at-1]) / total }, chosen)
	de := colour.DeltaE2000(s.target, lab, s.weights)
	if de >= s.best.DE {
		return
	}
	s.best = Proposal{Water: water, Predicted: lab, DE: de}
	for i, n := range parts {
		s.best.Parts = append(s.best.Parts, Part{s.bottles[chosen[i]].Name, n})
	}
}
