package dye

import (
	"fmt"
	"math"
	"strings"

	"evenhide/colour"
)

// see returns the colours that the view's camera reads.
func (p *Palette) see(l *look, x []float64) (out []float64) {
	weights := p.lens.weights(x[l.camera:])
	plain, laws := p.dyes(x)
	amounts := make([]float64, len(p.at))
	for i, r := range l.readings() {
		var ks spectrum
		d := i - (len(l.readings()) - len(l.Dabs))
		switch {
		case d >= 0:
			l.poured(d, x, amounts)
			ks = p.added(plain, laws, amounts)
		case i == 1:
			ks = p.onTarget(l, x, plain, laws)
		}
		l.onHide(&ks, x, i)
		lab := triple(seenLab(&weights, p.white, &ks))
		for s, shift := range r.Shared {
			for k, v := range triple(shift) {
				lab[k] += x[l.shared+s] * v
			}
		}
		out = append(out, lab...)
	}
	return out
}

// onTarget returns the K/S that the target's dye adds.
func (p *Palette) onTarget(l *look, x []float64, plain []spectrum, laws []float64) (ks spectrum) {
	if l.mixed {
		amounts := make([]float64, len(p.at))
		for i := range l.bottles {
			amounts[i] = math.Exp(x[l.target+i])
		}
		return p.added(plain, laws, amounts)
	}
	for k := range ks {
		ks[k] = math.Exp(x[l.target+k])
	}
	return ks
}

// onHide adds the hide under the i-th reading, or the usual one for i below 0.
func (l *look) onHide(ks *spectrum, x []float64, i int) {
	under := 0.0
	if i >= 0 {
		under = x[l.under[i]]
	}
	for k := range ks {
		ks[k] += math.Exp(x[l.hide+k] + under)
	}
}

// reached refuses a view with colours that no smooth spectra come close to.
func (p *Palette) reached(l *look, x, seen []float64) error {
	const far = 6 // ΔE*ab: noise and an uneven hide under a dab stay below
	got := p.see(l, x)
	at := func(v []float64, i int) colour.Lab { return colour.Lab{L: v[3*i], A: v[3*i+1], B: v[3*i+2]} }
	for i := range l.readings() {
		if want := at(seen, i); !(colour.DeltaE76(at(got, i), want) < far) {
			what := "the hide"
			if d := i - (len(l.readings()) - len(l.Dabs)); d >= 0 {
				what = p.called(l.Dabs[d])
			} else if i == 1 {
				what = "the target"
			}
			return fmt.Errorf("%w: %s has L* %.1f a* %.1f b* %.1f", ErrReflectance, what, want.L, want.A, want.B)
		}
	}
	return nil
}

// called names what a dab is of.
func (p *Palette) called(d Dab) string {
	var of []string
	for i, a := range d.Amounts {
		if a > 0 {
			of = append(of, p.names[i])
		}
	}
	return strings.Join(of, "+")
}

// strain is by how many standard deviations camera or greys would have to be off for the
// dabs to be what they are said to be.
func (l *look) strain(x []float64) (most float64) {
	for _, v := range x[l.shared:l.last] {
		most = max(most, math.Abs(v))
	}
	return most
}

func triple(c colour.Lab) []float64 { return []float64{c.L, c.A, c.B} }
