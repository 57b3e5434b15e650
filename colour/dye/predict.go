package dye

import "evenhide/colour"

// Prediction is the colour that a blend is expected to give the hide.
type Prediction struct {
	Lab colour.Lab    // D65, 2°
	Cov colour.Matrix // what the readings leave open of it, or of it less a target beside the dabs
}

// Target returns what the target beside the dabs looks like to the eye, as far as is
// known; false where there is none.
func (p *Palette) Target() (colour.Lab, bool) {
	if p.look.Target == nil {
		return colour.Lab{}, false
	}
	return p.target(p.known.mean, p.plain, p.laws), true
}

func (p *Palette) target(x []float64, plain []spectrum, laws []float64) colour.Lab {
	ks := p.onTarget(p.look, x, plain, laws)
	p.look.onHide(&ks, x, 1)
	return p.lab(&ks)
}

// predict returns the colour of a blend with its uncertainty, propagated to first
// order from what is known of dyes, hide and target, and of the place of the hide under
// the blend, which is another one.
func (p *Palette) predict(amounts []float64) Prediction {
	out := Prediction{Lab: p.colour(amounts)}
	var moved [2]colour.Lab
	for i, times := range [2]float64{1 + underSD, 1 - underSD} {
		other := *p
		for k := range other.hide {
			other.hide[k] *= times
		}
		moved[i] = other.colour(amounts)
	}
	out.Cov = colour.Outer([3]float64{(moved[0].L - moved[1].L) / 2, (moved[0].A - moved[1].A) / 2, (moved[0].B - moved[1].B) / 2})
	cov := p.known.carry(func(x []float64) []float64 { return p.apart(x, amounts) }, p.hangsOn(amounts))
	for k := range out.Cov {
		for m := range out.Cov {
			out.Cov[k][m] += cov.At(k, m)
		}
	}
	return out
}

// apart returns the Lab of a blend, less that of a target beside the dabs.
func (p *Palette) apart(x, amounts []float64) []float64 {
	plain, laws := p.dyes(x)
	ks := p.added(plain, laws, amounts)
	p.look.onHide(&ks, x, -1)
	c := p.lab(&ks)
	if p.look.Target != nil {
		t := p.target(x, plain, laws)
		c = colour.Lab{L: c.L - t.L, A: c.A - t.A, B: c.B - t.B}
	}
	return triple(c)
}

// hangsOn returns which of the numbers known a prediction hangs on.
func (p *Palette) hangsOn(amounts []float64) []int {
	l := p.look
	on := span([]int{0}, l.hide, samples)
	if l.Target != nil {
		on = l.ofTarget(on)
	}
	for i, a := range amounts {
		if a > 0 || l.Target != nil && l.mixed && i < l.bottles {
			on = span(on, p.at[i], samples+1)
		}
	}
	return on
}
