package check

import (
	"math"
	"testing"

	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// A piece beside the swatch and bare hide is as strong as a dab that lies there, and known
// as well.
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
			for what, two := range map[string][2]float64{
				"strength": {piece.Strength, dab.Strength}, "from": {piece.Interval[0], dab.Interval[0]}, "to": {piece.Interval[1], dab.Interval[1]},
			} {
				if math.Abs(two[0]-two[1]) > apart {
					t.Errorf("%s, piece %d, %s: %.4f, of a dab %.4f", photo, i+1, what, two[0], two[1])
				}
			}
		}
	}
}
