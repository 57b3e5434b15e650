package dye

import (
	"errors"
	"fmt"
)

// ErrNotStrong: a bottle that cannot be called stronger than its reference, so
// that water would not help it.
var ErrNotStrong = errors.New("not stronger than the reference")

// Water is how much water brings a bottle to its reference's strength, in ml for
// each 100 ml of dye. Least and Most span the uncertainty of the strength; Least
// is 0 where the bottle may be right as it is.
type Water struct{ ML, Least, Most float64 }

// Thinning returns the water for a bottle of which a dab, laid on as the
// reference's was, has strength s: (s-1)·100 ml for 100 ml, since strength goes
// with concentration. Where it does not, ask a Ladder.
//
// The error is ErrNotStrong for a strength of 1 or less: a bottle can be thinned,
// not thickened.
func Thinning(s Strength) (Water, error) {
	if !(s.Value > 1) {
		return Water{}, fmt.Errorf("%w: strength %.2f", ErrNotStrong, s.Value)
	}
	ml := func(strength float64) float64 { return max(0, 100*(strength-1)) }
	return Water{ml(s.Value), ml(s.Interval[0]), ml(s.Interval[1])}, nil
}
