package dye

import "evenhide/colour"

// A spectrum is sampled each 10 nm from 400 nm: finer than any dye's absorption.
const samples = 31

type spectrum [samples]float64

// eye is what spectra look like to the observer in daylight.
type eye struct {
	weights [samples][3]float64
	white   colour.White
}

// newEye scales the weights so that the perfect white comes out at D65 to the last
// digit.
func newEye() eye {
	e := eye{daylight(), colour.D65()}
	for c, white := range [3]float64{e.white.X, e.white.Y, e.white.Z} {
		sum := 0.0
		for _, w := range e.weights {
			sum += w[c]
		}
		for i := range e.weights {
			e.weights[i][c] *= white / sum
		}
	}
	return e
}

// lab returns the colour, D65 and 2°, of a layer of the given K/S.
func (e *eye) lab(ks *spectrum) colour.Lab { return seenLab(&e.weights, e.white, ks) }

// seenLab returns the colour that is seen with the given weights.
func seenLab(weights *[samples][3]float64, white colour.White, ks *spectrum) colour.Lab {
	var v [3]float64
	for i, k := range ks {
		r := Reflectance(k)
		for c, w := range weights[i] {
			v[c] += w * r
		}
	}
	const dark = 1e-6 // a camera may see less than nothing of a deep colour
	return colour.XYZToLab(colour.XYZ{X: max(v[0], dark), Y: max(v[1], dark), Z: max(v[2], dark)}, white)
}

// daylight returns CIE D65 times the 1931 observer at each sample, over the sum of
// Y: 5 nm values, each shared out to the two samples beside it, those outside
// 400 to 700 nm to the ends. TestDaylight makes it from testdata/spectra.
func daylight() [samples][3]float64 {
	return [samples][3]float64{
		{0.001484, 0.000041, 0.007037}, // 400
		{0.004059, 0.000113, 0.019371}, // 410
		{0.012215, 0.000380, 0.058800}, // 420
		{0.023663, 0.001013, 0.115740}, // 430
		{0.033859, 0.002305, 0.170243}, // 440
		{0.036601, 0.004219, 0.193340}, // 450
		{0.031974, 0.006712, 0.183550}, // 460
		{0.021408, 0.010052, 0.140481}, // 470
		{0.010666, 0.015200, 0.089414}, // 480
		{0.003568, 0.021884, 0.049448}, // 490
		{0.000695, 0.033849, 0.028645}, // 500
		{0.001268, 0.051414, 0.016332}, // 510
		{0.006624, 0.070434, 0.008128}, // 520
		{0.016851, 0.086811, 0.004336}, // 530
		{0.028879, 0.094252, 0.002082}, // 540
		{0.042567, 0.097290, 0.000900}, // 550
		{0.056244, 0.093943, 0.000387}, // 560
		{0.069640, 0.086924, 0.000200}, // 570
		{0.082030, 0.078047, 0.000146}, // 580
		{0.086756, 0.064267, 0.000098}, // 590
		{0.089786, 0.053603, 0.000068}, // 600
		{0.084400, 0.042619, 0.000032}, // 610
		{0.070334, 0.031555, 0.000015}, // 620
		{0.051218, 0.021222, 0.000005}, // 630
		{0.035430, 0.013893, 0.000002}, // 640
		{0.021868, 0.008275, 0.000000}, // 650
		{0.012734, 0.004719, 0.000000}, // 660
		{0.006940, 0.002543, 0.000000}, // 670
		{0.003516, 0.001279, 0.000000}, // 680
		{0.001590, 0.000575, 0.000000}, // 690
		{0.001565, 0.000565, 0.000000}, // 700
	}
}
