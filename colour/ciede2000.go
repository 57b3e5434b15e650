package colour

import "math"

// Weights are the parametric factors kL, kC and kH of CIEDE2000: how much more
// of a difference in lightness, chroma or hue the eye forgives on the material
// at hand than on smooth patches. Each must be above 0; nothing here checks it,
// so a caller that takes them from outside does.
type Weights struct{ KL, KC, KH float64 }

// UnitWeights returns the factors of the reference conditions: 1, 1, 1.
func UnitWeights() Weights { return Weights{1, 1, 1} }

// Split2000 is a CIEDE2000 difference in its parts, sample minus reference.
type Split2000 struct {
	DL, DC, DH     float64 // ΔL′, ΔC′, ΔH′ in CIELAB units; ΔH′ > 0 is anticlockwise
	SL, SC, SH, RT float64 // the weighting functions and the rotation term
	VL, VC, VH     float64 // the weighted parts ΔL′/(kL SL), ΔC′/(kC SC), ΔH′/(kH SH)
}

// hueSlack widens the comparison of a hue difference with 180°, in degrees. Two
// opposite hues differ by 180° or by the next float64 as the last bit of atan2
// falls, which differs between processors, and the formula jumps there (4.8045
// against 4.7461 for pair 14 of Sharma et al.). The slack is far above that bit
// (3e-14°) and far below the step between pairs 14 and 15 (2e-3°).
const hueSlack = 1e-9

// DeltaE2000 returns the CIEDE2000 difference of sample from ref, in ordinary
// units: 0 for equal colours, 100 from black to white. The order of the two does
// not matter. Both are under D65, for which the formula was fitted.
//
// It is meant for differences up to about 5 units between even, untextured
// patches side by side (ISO/CIE 11664-6:2022); larger ones should not be ranked
// by it. Sharma, Wu and Dalal, Color Res. Appl. 30 (2005) 21-30,
// doi 10.1002/col.20070, whose 34 pairs it reproduces.
func DeltaE2000(ref, sample Lab, w Weights) float64 {
	return Difference2000(ref, sample, w).DeltaE()
}

// DeltaE returns the difference that the parts add up to. Their squares alone
// sum to its square wherever RT is 0, which is everywhere but around blue.
func (s Split2000) DeltaE() float64 {
	square := s.VL*s.VL + s.VC*s.VC + s.VH*s.VH + s.RT*s.VC*s.VH
	return math.Sqrt(max(square, 0)) // |RT| < 2 keeps it positive but for rounding
}

// Difference2000 returns the parts of DeltaE2000(ref, sample, w). Swapping the
// colours turns the signs of the differences and leaves the rest.
func Difference2000(ref, sample Lab, w Weights) Split2000 {
	// G lengthens a* near the neutral axis; from the mean of the plain C*.
	cBar := (math.Hypot(ref.A, ref.B) + math.Hypot(sample.A, sample.B)) / 2
	stretch := 1 + 0.5*(1-chromaShare(cBar))
	one := Lab{ref.L, ref.A * stretch, ref.B}.LCh()
	two := Lab{sample.L, sample.A * stretch, sample.B}.LCh()

	dh, hBar := hues2000(one, two)
	lBar, cBarP := (one.L+two.L)/2, (one.C+two.C)/2
	s := Split2000{
		DL: two.L - one.L,
		DC: two.C - one.C,
		DH: 2 * math.Sqrt(one.C*two.C) * math.Sin(radians(dh/2)),
	}
	dist := (lBar - 50) * (lBar - 50)
	s.SL = 1 + 0.015*dist/math.Sqrt(20+dist)
	s.SC = 1 + 0.045*cBarP
	s.SH = 1 + 0.015*cBarP*hueWeight(hBar)
	turn := (hBar - 275) / 25
	s.RT = -2 * chromaShare(cBarP) * math.Sin(radians(60*math.Exp(-turn*turn)))

	s.VL, s.VC, s.VH = s.DL/(w.KL*s.SL), s.DC/(w.KC*s.SC), s.DH/(w.KH*s.SH)
	return s
}

// hues2000 returns Δh′ and the mean h̄′ in degrees. A neutral has no hue: the
// difference is then 0 and the mean the other colour's hue.
func hues2000(one, two LCh) (dh, hBar float64) {
	dh, sum := two.H-one.H, one.H+two.H
	switch {
	case one.C*two.C == 0:
		return 0, sum
	case math.Abs(dh) <= 180+hueSlack:
		return dh, sum / 2
	}
	if sum < 360 {
		hBar = sum/2 + 180
	} else {
		hBar = sum/2 - 180
	}
	return dh - math.Copysign(360, dh), hBar
}

// chromaShare returns √(C⁷/(C⁷+25⁷)), 0 for a neutral and near 1 for a vivid
// colour, written so that no chroma overflows.
func chromaShare(c float64) float64 {
	r := 25 / c
	return 1 / math.Sqrt(1+r*r*r*r*r*r*r)
}

// hueWeight returns T, the hue's part of SH, for a mean hue in degrees.
func hueWeight(h float64) float64 {
	cos := func(degrees float64) float64 { return math.Cos(radians(degrees)) }
	return 1 - 0.17*cos(h-30) + 0.24*cos(2*h) + 0.32*cos(3*h+6) - 0.20*cos(4*h-63)
}

func radians(degrees float64) float64 { return degrees * math.Pi / 180 }
