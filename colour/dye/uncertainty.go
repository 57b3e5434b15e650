package dye

import (
	"math"

	"evenhide/colour"
)

// spread is what the readings leave uncertain of an outcome.
type spread struct {
	strength float64       // variance
	shade    colour.Matrix // covariance of the Lab difference
}

// covariance propagates the readings' uncertainty to first order: each reading's
// own through its derivatives, each shared source through the sum of what it
// moves.
func (p *problem) covariance() spread {
	var total spread
	var by [3][3]outcome
	sources := 0
	for i, in := range p.in {
		sources = max(sources, len(in.shared))
		for k := range by[i] {
			by[i][k] = p.derivative(i, k)
		}
		for k := range by[i] {
			for m := range by[i] {
				total.add(by[i][k], by[i][m], in.cov[k][m])
			}
		}
	}
	for source := range sources {
		var moved outcome
		for i, in := range p.in {
			if source >= len(in.shared) {
				continue
			}
			for k, d := range in.shared[source] {
				moved.add(by[i][k], d)
			}
		}
		total.add(moved, moved, 1)
	}
	for k := range by[0] { // the offset, a source of its own in each band
		var moved outcome
		for i := range by {
			moved.add(by[i][k], p.opt.Offset)
		}
		total.add(moved, moved, 1)
	}
	total.strength = max(0, total.strength) // −1e-20 of a singular covariance
	return total
}

func (o *outcome) add(by outcome, weight float64) {
	o.strength += weight * by.strength
	for j := range o.shade {
		o.shade[j] += weight * by.shade[j]
	}
}

func (s *spread) add(a, b outcome, weight float64) {
	s.strength += weight * a.strength * b.strength
	for i := range s.shade {
		for j := range s.shade {
			s.shade[i][j] += weight * a.shade[i] * b.shade[j]
		}
	}
}

// derivative returns how the outcome moves with one band of one reading.
func (p *problem) derivative(in, band int) outcome {
	const step = 1e-4 // of the reflectance: far above rounding, far below any bend
	side := func(sign float64) outcome {
		r := [3]bands{p.in[0].r, p.in[1].r, p.in[2].r}
		r[in][band] *= 1 + sign*step
		return p.solve(r[0], r[1], r[2])
	}
	hi, lo := side(1), side(-1)
	width := 2 * step * p.in[in].r[band]
	out := outcome{strength: (hi.strength - lo.strength) / width}
	for i := range out.shade {
		out.shade[i] = (hi.shade[i] - lo.shade[i]) / width
	}
	return out
}

// interval returns the strengths whose L* on the line is u away from that of
// value, where u is what the expanded uncertainty of value is in L*.
func (p *problem) interval(l line, value, expanded float64) [2]float64 {
	here := p.lightness(l.at(value))
	h := 1e-4 * value
	slope := (p.lightness(l.at(value-h)) - p.lightness(l.at(value+h))) / (2 * h)
	reach := expanded * math.Abs(slope)
	return [2]float64{
		min(value, l.withLightness(p.space, here+reach)),
		max(value, l.withLightness(p.space, here-reach)),
	}
}
