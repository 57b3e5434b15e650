package scene

import (
	"math"

	"evenhide/colour"
)

// DyedOn returns the colour under D65 of hide that bare is hideL lighter in L* than
// usual (as Surface.HideL says it of an item), evenly dyed with a blend at a strength,
// for the law of a Scene.
func (s *Spectra) DyedOn(hideL float64, b Blend, strength, law float64) colour.Lab {
	const h = .1 // a step in the logarithm of K/S
	bare := func(log float64) colour.Lab { return s.onHide(log, Spectrum{}, 0) }
	perL := 2 * h / (bare(h).L - bare(-h).L)
	return s.onHide(hideL*perL, b.absorption(), math.Pow(strength, law))
}

// onHide returns the colour under D65 of an amount of dye on hide whose K/S is
// exp(log) times the usual.
func (s *Spectra) onHide(log float64, absorbed Spectrum, amount float64) colour.Lab {
	r := bareHide()
	for k := range r {
		r[k] = reflectance(math.Exp(log)*ks(r[k]) + amount*absorbed[k])
	}
	d65 := s.lights[D65]
	return toLab(s.xyz(&r, &d65), s.white(&d65))
}

// Difference returns the CIEDE2000 difference of two colours, by this package's own
// arithmetic.
func Difference(p, q colour.Lab) float64 { return deltaE2000(p, q) }
