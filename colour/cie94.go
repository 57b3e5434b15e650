package colour

import "math"

// Weights94 are the parameters of CIE94 for one kind of material: the factors
// kL, kC, kH, each above 0, and K1 and K2, by which the weights of chroma and
// hue grow with the reference's C*.
type Weights94 struct{ KL, KC, KH, K1, K2 float64 }

// GraphicArts94 returns the parameters for smooth samples: 1, 1, 1, 0.045, 0.015.
func GraphicArts94() Weights94 { return Weights94{1, 1, 1, 0.045, 0.015} }

// Textiles94 returns the parameters for textiles: 2, 1, 1, 0.048, 0.014.
func Textiles94() Weights94 { return Weights94{2, 1, 1, 0.048, 0.014} }

// DeltaE94 returns the CIE94 difference of sample from ref in ordinary units,
// both under D65. It is not symmetric: the weights come from the reference, which
// must be the first argument. CIE 116-1995, from memory; checked against
// colour-science's test_delta_e.py.
func DeltaE94(ref, sample Lab, w Weights94) float64 {
	dC, dH := chromaHue(ref, sample)
	c := math.Hypot(ref.A, ref.B)
	l := (sample.L - ref.L) / w.KL
	return math.Hypot(l, math.Hypot(dC/(w.KC*(1+w.K1*c)), dH/(w.KH*(1+w.K2*c))))
}
