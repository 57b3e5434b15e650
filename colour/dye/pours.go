package dye

import (
	"math"
	"slices"
)

// spillSD is by what share what was poured for a dab is more or less than it is said to be:
// a drop in thirty (our own choice, no source).
const spillSD = .03

// misnamedSD is the same of a mix that is not what it is said to be, and surely by how much
// likelier, in logarithms, it must be to say so (our own choice).
const misnamedSD, surely = .7, 2

// pour is where among what is known it lies how far off the pouring for a dab was, in
// logarithms: of each dye of a mix, and of all dye where water came to it; -1 for nothing.
type pour struct{ mix, thinned int }

// pour adds what is unknown of the pouring. A mix is mixed once for all its dabs.
func (l *look) pour(add func(guess) int, spill float64) {
	for i, d := range l.Dabs {
		p, sum := pour{-1, -1}, 0.0
		for _, a := range d.Amounts {
			sum += a
		}
		if of, _ := d.bottle(); of < 0 {
			for k := range i {
				if sameMix(d.Amounts, l.Dabs[k].Amounts) {
					p.mix = l.pours[k].mix
				}
			}
			if p.mix < 0 {
				p.mix = add(even(len(d.Amounts), 0, spill))
			}
		}
		const whole = 1 - 1e-9 // a sum of thirds
		if sum < whole {
			p.thinned = add(even(1, 0, spillSD))
		}
		l.pours = append(l.pours, p)
	}
}

// mixes tells whether there are dabs of mixes.
func (l *look) mixes() bool {
	return slices.ContainsFunc(l.pours, func(p pour) bool { return p.mix >= 0 })
}

// sameMix tells whether two dabs are of one mix, more or less let down.
func sameMix(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	ratio := 0.0
	for i := range a {
		if (a[i] == 0) != (b[i] == 0) {
			return false
		}
		if a[i] > 0 && ratio == 0 {
			ratio = b[i] / a[i]
		}
		const rounding = 1e-9
		if math.Abs(b[i]-ratio*a[i]) > rounding {
			return false
		}
	}
	return true
}

// poured sets amounts to what the d-th dab was laid from.
func (l *look) poured(d int, x, amounts []float64) {
	clear(amounts)
	p := l.pours[d]
	for i, a := range l.Dabs[d].Amounts {
		if p.mix >= 0 {
			a *= math.Exp(x[p.mix+i])
		}
		if p.thinned >= 0 {
			a *= math.Exp(x[p.thinned])
		}
		amounts[i] = a
	}
}
