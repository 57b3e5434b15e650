package colour

import "testing"

// TestAdaptationPublished holds the D65 to D50 matrix against colour-science's
// adaptation/tests/test_vonkries.py, Bradford.
func TestAdaptationPublished(t *testing.T) {
	want := Matrix{
		{1.04792979, 0.02294687, -0.05019227},
		{0.02962781, 0.99043443, -0.01707380},
		{-0.00924304, 0.01505519, 0.75187428},
	}
	// Half a unit of the last printed place, and as much again because the
	// whites are printed to eight places too.
	const printed = 1e-8
	got := Adaptation(White{0.95045593, 1, 1.08905775}, White{0.96429568, 1, 0.82510460})
	for i := range want {
		for j := range want {
			near(t, "entry", got[i][j], want[i][j], printed)
		}
	}
}

func TestAdaptationMapsWhiteAndBack(t *testing.T) {
	const rounding = 1e-14 // a dozen float64 operations on values near 1
	d65, d50 := D65(), D50()
	there := Adaptation(d65, d50)
	v := there.Apply([3]float64{d65.X, d65.Y, d65.Z})
	near(t, "X", v[0], d50.X, rounding)
	near(t, "Y", v[1], d50.Y, rounding)
	near(t, "Z", v[2], d50.Z, rounding)
	same := there.Mul(Adaptation(d50, d65))
	for i := range same {
		for j := range same {
			near(t, "round trip", same[i][j], Identity()[i][j], rounding)
		}
	}
}
