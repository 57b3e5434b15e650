package scene

import (
	"math"

	"evenhide/colour"
)

// Recipe returns the blend and the strength of leather.
func (m Material) Recipe() (Blend, float64) { return m.blend, m.strength }

// OffShade returns the blend with so much of another dye in it that on the usual
// hide, for the law of a Scene, it is away ΔE00 off: no strength of the blend
// itself comes nearer to it. Blend at depth and off at depth·strength are as strong
// as each other: it is at depth that the blend comes nearest. It is false where
// that is not mostly a turn in hue, or where no amount up to 0.6 does it.
func (s *Spectra) OffShade(b Blend, depth, law, away float64, drop Dye) (off Blend, strength float64, ok bool) {
	with := func(amount float64) Blend { return append(append(Blend{}, b...), Part{drop, amount}) }
	line := b.absorption()
	lo, hi := 0.0, .6
	if s.match(line, with(hi).absorption(), depth, law).de < away {
		return nil, 0, false
	}
	for range 14 { // to 0.0001
		if mid := (lo + hi) / 2; s.match(line, with(mid).absorption(), depth, law).de < away {
			lo = mid
		} else {
			hi = mid
		}
	}
	m := s.match(line, with(lo).absorption(), depth, law)
	const mostly = .7 // of the difference
	return with(lo), m.strength, m.hue >= mostly
}

// match is the strength of another dye at which one comes nearest to it at depth,
// what ΔE00 is left, and what share of that is hue.
type match struct{ strength, de, hue float64 }

func (s *Spectra) match(one, other Spectrum, depth, law float64) match {
	m := match{strength: 1}
	for range 4 { // to where the nearest is at depth itself
		n := s.nearest(one, s.dyed(other, depth*m.strength, law), depth, law)
		m = match{m.strength / n.strength, n.de, n.hue}
	}
	return m
}

// nearest returns how near a dye comes to a colour, at 0.4 to 2.5 times depth.
func (s *Spectra) nearest(one Spectrum, target colour.Lab, depth, law float64) match {
	away := func(log float64) float64 { return deltaE2000(s.dyed(one, depth*math.Exp(log), law), target) }
	lo, hi := math.Log(.4), math.Log(2.5)
	for range 24 { // by thirds: the difference falls to one lowest place
		a, c := lo+(hi-lo)/3, hi-(hi-lo)/3
		if away(a) < away(c) {
			hi = c
		} else {
			lo = a
		}
	}
	p := s.dyed(one, depth*math.Exp(lo), law)
	share := math.Hypot(target.A, target.B) / math.Hypot(p.A, p.B)
	level := colour.Lab{L: target.L, A: p.A * share, B: p.B * share} // differs in hue alone
	m := match{math.Exp(lo), away(lo), 0}
	if m.de > 0 {
		m.hue = deltaE2000(level, target) / m.de
	}
	return m
}

// dyed returns the colour under D65 of the usual hide, evenly dyed.
func (s *Spectra) dyed(absorbed Spectrum, strength, law float64) colour.Lab {
	hide := bareHide()
	amount := math.Pow(strength, law)
	for k := range hide {
		hide[k] = reflectance(ks(hide[k]) + amount*absorbed[k])
	}
	d65 := s.lights[D65]
	return toLab(s.xyz(&hide, &d65), s.white(&d65))
}
