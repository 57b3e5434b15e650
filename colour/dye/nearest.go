package dye

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"evenhide/colour"
)

// Nearest is the closest that the bottles come to a target in any amounts.
type Nearest struct {
	Amounts   []float64 // of each bottle, as fractions; what is missing to 1 is water
	Predicted colour.Lab
	DE        float64 // ΔE00 from the target
}

// amounts returns the bottles' fractions that come closest to the target's K/S,
// weighted by what it does to lightness in each band; with water they make up 1.
func (p *palette) amounts(target bands) []float64 {
	n := len(p.dyes)
	a, b := mat.NewDense(4, n+1, nil), mat.NewVecDense(4, nil)
	for k, r := range target {
		// By how much L* of this band moves for K/S: R^(-2/3) over the slope.
		weight := math.Pow(r, -2./3) * 2 / (1/(r*r) - 1 + 1e-6)
		for i := range p.dyes {
			a.Set(k, i, weight*p.dyes[i][k])
		}
		b.SetVec(k, weight*(KS(r)-p.hide[k]))
	}
	const bound = 1e3 // so heavy that the amounts make up 1 to a part in a million
	for i := range n + 1 {
		a.Set(3, i, bound)
	}
	b.SetVec(3, bound)
	x := nonNegative(a, b)
	total := 0.0
	for _, v := range x {
		total += v
	}
	for i := range x {
		x[i] /= max(total, 1)
	}
	return x[:n]
}

// nearest returns the closest amounts by ΔE00: from the better of two starts,
// the closest in K/S and the best whole parts, by passing ever smaller amounts
// from one bottle to another, or to and from the water, while that helps.
func (s *search) nearest(target bands, whole Proposal) Nearest {
	n := len(s.dyes)
	x := append(s.amounts(target), 0) // and the water
	if s.distance(x) > whole.DE {
		x = s.fractions(whole)
	}
	x[n] = 1
	for _, v := range x[:n] {
		x[n] -= v
	}
	best := s.distance(x)
	for step := .1; step > 1e-5; step /= 2 {
		for round, moved := 0, true; moved && round < 20; round++ {
			moved = false
			for i := range n + 1 {
				for j := range n + 1 {
					d := min(step, x[i])
					if i == j || d <= 0 {
						continue
					}
					x[i], x[j] = x[i]-d, x[j]+d
					if de := s.distance(x); de < best {
						best, moved = de, true
					} else {
						x[i], x[j] = x[i]+d, x[j]-d
					}
				}
			}
		}
	}
	return Nearest{x[:n], s.colour(x), best}
}

// fractions returns the amounts of a proposal, with a place for the water.
func (s *search) fractions(p Proposal) []float64 {
	x, total := make([]float64, len(s.dyes)+1), float64(p.Water)
	for _, part := range p.Parts {
		total += float64(part.N)
	}
	for _, part := range p.Parts {
		for i, b := range s.bottles {
			if b.Name == part.Name {
				x[i] = float64(part.N) / total
			}
		}
	}
	return x
}

func (s *search) colour(amounts []float64) colour.Lab {
	return s.at(func(i int) float64 { return amounts[i] }, s.all)
}

func (s *search) distance(amounts []float64) float64 {
	return colour.DeltaE2000(s.target, s.colour(amounts), s.weights)
}
