package dye

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"evenhide/colour"
)

// veg-tan: L* 70, a* 10, b* 24 (from memory, low confidence).
func vegTan() colour.Lab { return colour.Lab{L: 70, A: 10, B: 24} }

func TestReachEndsAtTheTolerance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(what string, lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(rt, what)) }
		reference := colour.Lab{L: draw("L*", 15, 60), A: draw("a*", -15, 25), B: draw("b*", -10, 30)}
		within := draw("tenths of ΔE00", 5, 40) / 10
		low, high, err := Reach(vegTan(), reference, within, colour.UnitWeights())
		if errors.Is(err, ErrReflectance) || errors.Is(err, ErrReference) {
			rt.Skip(err)
		}
		if err != nil || !(low > 0 && low < 1 && high > 1) {
			rt.Fatalf("%g to %g, %v", low, high, err)
		}
		s := newSpace()
		at := func(strength float64) float64 {
			rgb := func(c colour.Lab) colour.LinearRGB { return FromLab(c, colour.Matrix{}, nil).RGB }
			c := dyed(rgb(vegTan()), rgb(reference), strength)
			return colour.DeltaE2000(reference, s.lab(s.bands(c)), colour.UnitWeights())
		}
		if d := at(low); d > within+1e-6 || d < within-1e-6 {
			rt.Fatalf("ΔE00 %g at the low end, wanted %g", d, within)
		}
		if d := at(high); high < mostStrength-1e-6 && (d > within+1e-6 || d < within-1e-6) {
			rt.Fatalf("ΔE00 %g at the high end, wanted %g", d, within)
		}
	})
}

func TestReachRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		hide, reference colour.Lab
		within          float64
		want            error
	}{
		"no dye": {vegTan(), vegTan(), 2, ErrReference}, "no tolerance": {vegTan(), colour.Lab{L: 40}, 0, ErrReference},
		"black hole": {vegTan(), colour.Lab{L: -5}, 2, ErrReflectance}, "no hide": {colour.Lab{L: 120}, colour.Lab{L: 40}, 2, ErrReflectance},
	} {
		if _, _, err := Reach(c.hide, c.reference, c.within, colour.UnitWeights()); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
