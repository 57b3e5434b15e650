package dye

import (
	"fmt"

	"evenhide/colour"
)

// Reach returns the strengths, from below 1 to above, at which hide dyed with the
// reference's dye is within a CIEDE2000 difference of the reference; high ends at 64.
// Both colours are CIELAB for D65, 2°. The error is ErrReflectance, or ErrReference
// where bare hide is within already.
func Reach(hide, reference colour.Lab, within float64, w colour.Weights) (low, high float64, err error) {
	s := newSpace()
	var of [2]bands
	for i, c := range []colour.Lab{hide, reference} {
		if of[i], err = s.checked([]string{"the hide", "the reference"}[i], FromLab(c, colour.Matrix{}, nil).RGB, Saunderson{}); err != nil {
			return 0, 0, err
		}
	}
	l := newLine(of[0], of[1], Saunderson{})
	away := func(strength float64) float64 { return colour.DeltaE2000(reference, s.lab(l.at(strength)), orUnit(w)) }
	if !(within > 0 && away(0) > within) {
		return 0, 0, fmt.Errorf("%w: bare hide is within %g of it", ErrReference, within)
	}
	edge := func(in, out float64) float64 {
		for range 50 { // to the last digit
			if mid := (in + out) / 2; away(mid) <= within {
				in = mid
			} else {
				out = mid
			}
		}
		return in
	}
	return edge(1, 0), edge(1, mostStrength), nil
}
