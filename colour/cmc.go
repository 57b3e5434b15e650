package colour

import "math"

// DeltaECMC returns the CMC(l:c) difference of sample from ref in ordinary
// units, both under D65. l and c, each above 0, say how much more lightness and
// chroma may differ than hue: 2 and 1 for acceptability (ISO 105-J03), 1 and 1
// for perceptibility. It is not symmetric: the ellipsoid is the reference's,
// which must be the first argument.
//
// Clarke, McDonald and Rigg 1984, as in ISO 105-J03; formula from memory, checked
// against colour-science's test_delta_e.py and color.js's test/delta.js.
func DeltaECMC(ref, sample Lab, l, c float64) float64 {
	dC, dH := chromaHue(ref, sample)
	std := ref.LCh()
	sl := 0.511
	if std.L >= 16 {
		sl = 0.040975 * std.L / (1 + 0.01765*std.L)
	}
	sc := 0.0638*std.C/(1+0.0131*std.C) + 0.638
	c4 := std.C * std.C * std.C * std.C
	f := math.Sqrt(c4 / (c4 + 1900))
	sh := sc * (f*hueWeightCMC(std.H) + 1 - f)
	return math.Hypot((sample.L-ref.L)/(l*sl), math.Hypot(dC/(c*sc), dH/sh))
}

// hueWeightCMC returns T for a hue in degrees; from 164° to 345° another curve
// holds.
func hueWeightCMC(h float64) float64 {
	if h >= 164 && h <= 345 {
		return 0.56 + math.Abs(0.2*math.Cos(radians(h+168)))
	}
	return 0.36 + math.Abs(0.4*math.Cos(radians(h+35)))
}
