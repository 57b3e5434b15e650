package dye

import (
	"cmp"
	"math"
	"slices"

	"evenhide/colour"
)

const (
	// MostParts is the most parts of one dye in a blend: a dozen is what a maker counts
	// out (common practice, no source). MostWater is that of water, which is poured: a
	// pale colour in a dozen of it could only be mixed in steps that are seen.
	MostParts, MostWater = 12, 36
	mostDyes             = 3 // in one blend; three channels tell no more apart
	// MostProposals is how many blends Propose returns.
	MostProposals = 3
	// unseen is the ΔE00 by which a blend may be further off than the closest and still
	// be as good, and nearEnough what is near enough whatever there is: a part of what the
	// readings leave open, which it adds to (our own choice).
	unseen, nearEnough = .1, .2
	// eachPart is by how much, in ΔE00, a part more must come closer: 3:1 is counted
	// out more surely than 11:4.
	eachPart = .002
)

// Part is a dye of a blend and its whole parts.
type Part struct {
	Name string
	N    int
}

// Proposal is a blend in whole parts, and what it is predicted to give.
type Proposal struct {
	Parts []Part
	Water int // parts
	Prediction
	DE    float64      // ΔE00 of the prediction from the target
	Words colour.Words // the prediction against the target
}

// Propose returns up to three blends in whole parts for a target, the fewest dyes
// first: those that come within 0.2 ΔE00 by the prediction, or within 0.1 of the one that
// is closest in few parts. One that takes more dyes besides those of another is not among
// them: what it comes closer by is too little to be seen. Nearest is the closest in any
// amounts: where its DE is above the tolerance the target is out of reach. The weights' zero
// value is unit weights.
//
// Blends are of one to three dyes, in parts of one to twelve of each and up to
// thirty-six of water.
func (p *Palette) Propose(target colour.Lab, w colour.Weights) ([]Proposal, Nearest) {
	s := search{Palette: p, target: target, weights: orUnit(w), amounts: make([]float64, len(p.names))}
	var found []counted
	for dyes := 1; dyes <= min(mostDyes, len(p.names)); dyes++ {
		found = append(found, s.of(dyes)...)
	}
	closest := slices.MinFunc(found, func(a, b counted) int { return cmp.Compare(a.cost, b.cost) })
	nearest := s.nearest(closest)
	limit := max(closest.de+unseen, nearEnough)
	found = slices.DeleteFunc(found, func(c counted) bool { return c.de > limit })
	slices.SortStableFunc(found, func(a, b counted) int {
		return cmp.Or(cmp.Compare(len(a.dyes), len(b.dyes)), cmp.Compare(a.cost, b.cost))
	})
	var kept []counted
	for _, c := range found {
		if len(kept) < MostProposals && !slices.ContainsFunc(kept, c.hasAllOf) {
			kept = append(kept, c)
		}
	}
	var out []Proposal
	for _, c := range kept {
		out = append(out, s.proposal(c))
	}
	return out, nearest
}

// search goes through blends for a target.
type search struct {
	*Palette
	target  colour.Lab
	weights colour.Weights
	amounts []float64 // all 0 but while one is tried
}

// counted is a blend of some dyes in whole parts, and how far off it is.
type counted struct {
	dyes, parts []int // as many of each
	water       int
	de, cost    float64
}

// hasAllOf tells whether a blend takes all dyes of another.
func (c counted) hasAllOf(other counted) bool {
	return !slices.ContainsFunc(other.dyes, func(d int) bool { return !slices.Contains(c.dyes, d) })
}

// of returns the closest blends of a number of dyes, each of other dyes. Every
// choice of dyes is tried in a few parts together, and the best choices in up to a
// dozen of each.
func (s *search) of(dyes int) []counted {
	const few, thorough = 8, 12 // parts, choices
	var found []counted
	s.choose(nil, dyes, 0, func(chosen []int) {
		best := counted{dyes: slices.Clone(chosen), cost: 1e9}
		s.count(&best, nil, few)
		found = append(found, best)
	})
	slices.SortStableFunc(found, func(a, b counted) int { return cmp.Compare(a.cost, b.cost) })
	found = found[:min(thorough, len(found))]
	for i := range found {
		s.count(&found[i], nil, MostParts*dyes)
	}
	return found
}

// choose calls do with every choice of more dyes, from index first on, besides those
// chosen.
func (s *search) choose(chosen []int, more, first int, do func([]int)) {
	if more == 0 {
		do(chosen)
		return
	}
	for i := first; i <= len(s.names)-more; i++ {
		s.choose(append(chosen[:len(chosen):len(chosen)], i), more-1, i+1, do)
	}
}

// count tries every number of parts for the dyes of best that have none yet, at least
// 1 each and with left to go, and then water, and keeps the best.
func (s *search) count(best *counted, parts []int, left int) {
	if len(parts) == len(best.dyes) {
		s.pourWater(best, parts)
		return
	}
	for n := 1; n <= min(MostParts, left-(len(best.dyes)-len(parts)-1)); n++ {
		s.count(best, append(parts[:len(parts):len(parts)], n), left-n)
	}
}

// pourWater tries parts of water: a few far apart, and all about the best of them.
func (s *search) pourWater(best *counted, parts []int) {
	const apart = 4
	about, least := 0, math.Inf(1)
	for water := 0; water <= MostWater; water += apart {
		if de, _ := s.misses(best.dyes, parts, water); de < least {
			about, least = water, de
		}
	}
	for water := max(0, about-apart+1); water <= min(MostWater, about+apart-1); water++ {
		s.try(best, parts, water)
	}
}

// misses returns how far off a blend is, and its parts in all.
func (s *search) misses(dyes, parts []int, water int) (de float64, total int) {
	total = water
	for _, n := range parts {
		total += n
	}
	for i, d := range dyes {
		s.amounts[d] = float64(parts[i]) / float64(total)
	}
	de = s.distance(s.amounts)
	for _, d := range dyes {
		s.amounts[d] = 0
	}
	return de, total
}

func (s *search) try(best *counted, parts []int, water int) {
	common := water
	for _, n := range parts {
		for n != 0 {
			common, n = n, common%n
		}
	}
	if common > 1 {
		return // 2:4 is 1:2, tried already
	}
	de, total := s.misses(best.dyes, parts, water)
	if cost := de + eachPart*float64(total); cost < best.cost {
		best.parts, best.water, best.de, best.cost = slices.Clone(parts), water, de, cost
	}
}

// fractions returns a blend's amounts.
func (s *search) fractions(c counted) []float64 {
	out, total := make([]float64, len(s.names)), c.water
	for _, n := range c.parts {
		total += n
	}
	for i, d := range c.dyes {
		out[d] = float64(c.parts[i]) / float64(total)
	}
	return out
}

func (s *search) proposal(c counted) Proposal {
	out := Proposal{Water: c.water, Prediction: s.predict(s.fractions(c)), DE: c.de}
	for i, d := range c.dyes {
		out.Parts = append(out.Parts, Part{s.names[d], c.parts[i]})
	}
	out.Words = colour.InWords(s.target, out.Lab, s.weights)
	return out
}
