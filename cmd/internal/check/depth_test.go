package check

import (
	"math"
	"testing"

	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// A piece beside the swatch and bare hide is as strong as a dab that lies there. How well
// that is known differs by what is known of dabs alone: three times the variance of their
// patches, and .4 of the light's.
func TestAPieceIsAsStrongAsADab(t *testing.T) {
	// Pieces are read in the light that the sheet shows beside them, dabs in that of its
	// surface: .0005 was the most.
	const apart = .002
	for _, photo := range []string{"bench", "sleeve", "strap", "wallet"} {
		path := "../../../testdata/demo/" + photo + ".jpg"
		limits := DabRequest{Bottle: tolerance.BottleLimits{Strength: .14, Shade: 2}}
		limits.Weights = colour.UnitWeights()
		dabs, err := Dabs(path, limits)
		if err != nil {
			t.Fatal(err)
		}
		checked := Photo(path, Request{Limits: tolerance.Limits{DE: 2, Blotch: 1.5}, Weights: colour.UnitWeights()})
		whole := checked.Whole()
		if len(whole) != len(dabs.Dabs) {
			t.Fatalf("%s: %d pieces, %d dabs", photo, len(whole), len(dabs.Dabs))
		}
		for i := range dabs.Dabs {
			piece, dab := whole[i].Depth, dabs.Dabs[i].Depth
			if piece == nil {
				t.Fatalf("%s, piece %d: no strength", photo, i+1)
			}
			if math.Abs(piece.Strength-dab.Strength) > apart {
				t.Errorf("%s, piece %d: %.4f, of a dab %.4f", photo, i+1, piece.Strength, dab.Strength)
			}
			wider := (dab.Interval[1] - dab.Interval[0]) / (piece.Interval[1] - piece.Interval[0])
			if wider < math.Sqrt(.4) || wider > math.Sqrt(3) {
				t.Errorf("%s, piece %d: %.4f, of a dab %.4f", photo, i+1, piece.Interval, dab.Interval)
			}
		}
	}
}
