package colour

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestLChQuadrants(t *testing.T) {
	for _, c := range []struct {
		lab Lab
		lch LCh
	}{
		{Lab{50, 3, 4}, LCh{50, 5, 53.13010235415598}}, // the 3-4-5 triangle
		{Lab{50, 0, 2}, LCh{50, 2, 90}},
		{Lab{50, -2, 0}, LCh{50, 2, 180}},
		{Lab{50, 0, -2}, LCh{50, 2, 270}},
		{Lab{50, 0, 0}, LCh{50, 0, 0}},
		{Lab{50, 1, -4e-16}, LCh{50, 1, 0}}, // was 360
	} {
		got := c.lab.LCh()
		near(t, "C*", got.C, c.lch.C, 1e-15)
		near(t, "h", got.H, c.lch.H, 1e-13)
	}
}

func TestLChRoundTrip(t *testing.T) {
	const rounding = 1e-12 // of sine and cosine times C* up to 170
	rapid.Check(t, func(t *rapid.T) {
		c := anyLab(t, "colour")
		p := c.LCh()
		if !(p.H >= 0 && p.H < 360 && p.C >= 0) || DeltaE76(c, p.Lab()) > rounding {
			t.Errorf("%+v is %+v", c, p)
		}
	})
}

func TestFinite(t *testing.T) {
	if !(Lab{50, -20, 30}).Finite() {
		t.Error("an ordinary colour is not finite")
	}
	for _, bad := range []Lab{{math.NaN(), 0, 0}, {0, math.Inf(1), 0}, {0, math.Inf(1), math.Inf(-1)}} {
		if bad.Finite() {
			t.Errorf("%+v is finite", bad)
		}
	}
}
