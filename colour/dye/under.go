package dye

import (
	"math"

	"evenhide/colour"
)

// weights are how the bands together decide on strength, and on the hide under the
// sample.
type weights struct {
	dye  colour.Matrix // inverse covariance of the K/S that is added
	hide bands         // share of the hide's K/S that each band's K/S left over stands for
}

// newWeights returns the weights for bands of the given noise (variance of K/S) on
// hide of the given K/S, of whose logarithm variance is that between reference and
// sample. The hide's part is one direction, so that the inverse of the sum is
// Sherman and Morrison's.
func newWeights(hide, noise bands, variance float64) weights {
	var w weights
	seen := 0.0
	for i, k := range hide {
		w.dye[i][i] = 1 / noise[i]
		w.hide[i] = k / noise[i]
		seen += k * w.hide[i]
	}
	gain := variance / (1 + variance*seen)
	w.dye = w.dye.Add(colour.Outer(w.hide).Scale(-gain))
	for i := range w.hide {
		w.hide[i] *= gain
	}
	return w
}

// solve returns the strength that explains the K/S added best, and the share of the
// hide's own K/S in what that leaves: generalised least squares.
func (w weights) solve(dye, added bands) (strength, hide float64) {
	sum, square := 0.0, 0.0
	for i, v := range w.dye.Apply(dye) {
		sum += v * added[i]
		square += v * dye[i]
	}
	strength = sum / square
	for i, v := range w.hide {
		hide += v * (added[i] - strength*dye[i])
	}
	return strength, hide
}

// vary adds to each reading what the hide under it may differ by.
func (p *problem) vary(hide bands, samples [3]Sample) {
	const palest = .99 // reflectance, above which K/S stands still
	for i := range p.in {
		var moved bands
		for k, r := range p.in[i].r {
			moved[k] = p.opt.Hide / math.Sqrt(samples[i].places()) * hide[k] / p.slope(min(r, palest))
		}
		p.in[i].cov = p.in[i].cov.Add(colour.Outer(moved))
	}
}

// on returns the line on hide whose K/S is larger by a share.
func (l line) on(share float64) line {
	for i := range l.hide {
		l.hide[i] *= 1 + share
	}
	return l
}
