package dye

import "math"

// Prior is what is known of a colour's build-up before a piece is read, for each kind
// that it may be of: three that come to the reference's strength, their sites alike,
// or ever less so, which go on gaining longer; and one that ends where it ends.
type Prior [short + 1]KindPrior

// short is the kind that ends where it ends, which may be short of the reference.
const short = 3

// KindPrior is how likely a kind is, and over pieces of it the mean and covariance of
// the logarithms of two numbers: of the coats in which it is as strong as the
// reference, or for the last kind of Full, and of Rate.
type KindPrior struct {
	Weight float64
	Mean   [2]float64
	Cov    [2][2]float64
}

// buildUp returns the build-up that lies at a place of a kind's prior.
func buildUp(kind int, at [2]float64) BuildUp {
	b := BuildUp{1, math.Exp(at[1]), [short + 1]float64{0, 1, .5, 0}[kind]}
	if kind == short {
		b.Full = math.Exp(at[0])
	} else {
		b.Full = 1 / b.filled(math.Exp(at[0]))
	}
	return b
}

// DefaultPrior returns what is assumed of a colour without earlier pieces: four coats,
// give or take a half, are as strong as the reference, or for one in ten, whose mix is
// thin, 70 % is where it ends, give or take a third (common practice, no source).
func DefaultPrior() (p Prior) {
	for k, m := range [short + 1]struct{ weight, first, rate, vary float64 }{
		{.3, 4, 2.5, .4}, {.3, 4, 3.5, .4}, {.3, 4, 3.5, .4}, {.1, .7, 2, .3},
	} {
		p[k] = KindPrior{m.weight, [2]float64{math.Log(m.first), math.Log(m.rate)}, [2][2]float64{{m.vary * m.vary, 0}, {0, .25}}}
	}
	return p
}

// LearnPrior returns what the readings of earlier pieces of a colour say of the next
// one, found by expectation and maximisation. Each piece counts as far as its own
// readings tell, and DefaultPrior as much as two pieces, so that a few alike are not
// taken for certainty. The error is FitCoats'.
func LearnPrior(earlier [][]Coat) (Prior, error) {
	const rounds = 6 // each takes off most of what is left
	for _, coats := range earlier {
		if err := checkCoats(coats); err != nil {
			return Prior{}, err
		}
	}
	p := DefaultPrior()
	for range rounds {
		g, err := newGrid(p)
		if err != nil {
			return Prior{}, err
		}
		var of []Prior
		var late []bool
		for _, coats := range earlier {
			c := g.fit(coats)
			of, late = append(of, c.moments()), append(late, c.coats >= tells)
		}
		p = together(of, late)
	}
	return p, nil
}

// tells is from which coat on readings tell a kind: what comes sooner looks alike in
// all, and pieces of one lot, alike in all, would be taken for many witnesses.
const tells = 4

// together returns the prior that pieces make with the two that are assumed. Those that
// were read late tell the kind too.
func together(pieces []Prior, late []bool) (p Prior) {
	const assumed = 2.0
	start := DefaultPrior()
	for k := range p {
		members := []KindPrior{start[k]}
		members[0].Weight *= assumed
		for _, piece := range pieces {
			members = append(members, piece[k])
		}
		total := 0.0
		for _, m := range members {
			total += m.Weight
		}
		for _, m := range members {
			for i := range m.Mean {
				p[k].Mean[i] += m.Weight / total * m.Mean[i]
			}
		}
		for _, m := range members {
			p[k].spread(m, m.Weight/total)
		}
		weight, of := assumed*start[k].Weight, assumed
		for i, piece := range pieces {
			if late[i] {
				weight, of = weight+piece[k].Weight, of+1
			}
		}
		p[k].Weight = weight / of
	}
	return p
}

// spread adds to p's covariance what a member of it, of the given weight, varies by
// itself and lies away from the mean.
func (p *KindPrior) spread(member KindPrior, weight float64) {
	for i := range p.Cov {
		for j := range p.Cov {
			p.Cov[i][j] += weight * (member.Cov[i][j] + (member.Mean[i]-p.Mean[i])*(member.Mean[j]-p.Mean[j]))
		}
	}
}
