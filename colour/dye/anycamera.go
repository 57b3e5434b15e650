package dye

import (
	"math"
	"math/rand/v2"
)

// draw draws cameras and lights.
type draw struct{ *rand.Rand }

func (d draw) about(mean, sd float64) float64 { return mean + sd*d.NormFloat64() }
func (d draw) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

// bell returns a bell over the wavelength.
func bell(nm, width float64) (out spectrum) {
	for i := range out {
		t := (wavelength(i) - nm) / width
		out[i] = math.Exp(-t * t / 2)
	}
	return out
}

func wavelength(i int) float64 { return 400 + 10*float64(i) }

func (s *spectrum) add(o spectrum, times float64) {
	for i := range s {
		s[i] += times * o[i]
	}
}

// black returns a black body's light, 1 at 560 nm.
func black(kelvin float64) (out spectrum) {
	at := func(nm float64) float64 {
		const second = 1.4388e7 // nm K, Planck's second radiation constant
		return math.Pow(nm/560, -5) / math.Expm1(second/(nm*kelvin))
	}
	for i := range out {
		out[i] = at(wavelength(i)) / at(560)
	}
	return out
}

// sensors draws a camera's three: bells with a share of each other, behind a filter
// against infrared. Peaks and widths are about those of published cameras (from
// memory, low confidence).
func (d draw) sensors() (out [3]spectrum) {
	pure := [3]spectrum{
		bell(d.about(603, 8), max(15, d.about(32, 6))),
		bell(d.about(533, 8), max(20, d.about(38, 6))),
		bell(d.about(460, 8), max(15, d.about(28, 5))),
	}
	out = pure
	for k := range out {
		for j := range pure {
			if j != k {
				out[k].add(pure[j], d.between(0, .12))
			}
		}
	}
	cut := d.about(665, 15)
	for k := range out {
		for i := range out[k] {
			out[k][i] /= 1 + math.Exp((wavelength(i)-cut)/8)
		}
	}
	return out
}

// light draws a white light of any kind, and the one whose matrix the camera takes: its
// own, or that of tungsten (CIE A, 2856 K) or of daylight (about 6500 K). The lines are
// mercury's and those of the usual phosphors, their strengths our own choice.
func (d draw) light() (light, taken spectrum) {
	switch d.IntN(4) {
	case 0: // day or filament
		light = black(d.between(2700, 7000))
	case 1: // a blue diode and its yellow phosphor
		light = bell(d.about(575, 12), d.about(52, 6))
		light.add(bell(d.about(452, 5), max(6, d.about(11, 2))), d.between(.3, 1.6))
	case 2: // mercury and a broad phosphor
		light = bell(d.about(580, 8), d.about(45, 5))
		light.add(bell(490, 30), d.between(.1, .6))
		for _, nm := range []float64{405, 436, 546, 578} {
			light.add(bell(nm, 5), d.between(.3, 2))
		}
	default: // mercury and three narrow phosphors
		light.add(bell(560, 80), .1)
		for _, nm := range []float64{436, 488, 545, 587, 611} {
			light.add(bell(nm, 6), d.between(.2, 1.5))
		}
	}
	if d.IntN(2) == 0 {
		return light, light
	}
	return light, black([]float64{2856, 6500}[d.IntN(2)])
}
