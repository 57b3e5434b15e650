package scene

import (
	"math"
	"os"
	"testing"
)

// What is off by 2 is off by 2 at no strength less, in the photo's own truth.
func TestOffShade(t *testing.T) {
	const away, rounding = 2, .05 // cells are kept in 32 bits, strengths looked at in steps of 2 %
	spectra, err := Load(os.DirFS("../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, d := range Dyes() {
		for _, drop := range Dyes() {
			b := Blend{{d, 1}}
			off, strength, ok := spectra.OffShade(b, 1, 1, away, drop)
			if !ok {
				continue
			}
			found++
			sc := Scene{Width: 64, Height: 64, View: View{Across: 2000}, Items: []Item{{Kind: Swatch, Outline: Rect(4, 4, 0), Material: Leather(off, strength)}}}
			for i := range 31 {
				sc.Items = append(sc.Items, Item{Kind: Piece, Outline: Rect(4, 4, 0), Pose: Pose{X: 10 * float64(i+1)}, Material: Leather(b, .7+.02*float64(i))})
			}
			_, truth, err := Render(sc, spectra)
			if err != nil {
				t.Fatal(err)
			}
			least, at := math.Inf(1), 0.0
			for _, it := range truth.Items[1:] {
				if it.DyedDeltaE < least {
					least, at = it.DyedDeltaE, it.Strength
				}
			}
			if math.Abs(least-away) > rounding || math.Abs(at-1) > .021 {
				t.Errorf("%s with %s: ΔE00 %.3f at strength %.2f", d.Name, drop.Name, least, at)
			}
		}
	}
	if found < len(Dyes()) {
		t.Errorf("only %d pairs", found)
	}
}
