package colour

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestInWordsHue walks once round the hue circle, turning each colour both ways.
func TestInWordsHue(t *testing.T) {
	for _, c := range []struct {
		name       string
		h          float64
		more, less string
	}{
		{"red", 10, "yellower", "bluer"},
		{"red below 360", 350, "yellower", "bluer"},
		{"oxblood", 30, "yellower", "redder"},
		{"brown", 53, "yellower", "redder"},
		{"tan", 67, "yellower", "redder"},
		{"yellow", 90, "greener", "redder"},
		{"olive", 120, "greener", "yellower"},
		{"green", 165, "bluer", "yellower"},
		{"teal", 210, "bluer", "greener"},
		{"blue", 240, "redder", "greener"},
		{"navy", 270, "redder", "greener"},
		{"purple", 315, "redder", "bluer"},
	} {
		t.Run(c.name, func(t *testing.T) {
			ref := LCh{40, 25, c.h}
			for turn, want := range map[float64]string{4: c.more, -4: c.less} {
				got := InWords(ref.Lab(), LCh{40, 25, c.h + turn}.Lab(), UnitWeights())
				if got.Lightness != "" || got.Chroma != "" || !strings.HasSuffix(got.Hue, " "+want) {
					t.Errorf("turned by %+g°: %+v, want only %s", turn, got, want)
				}
			}
		})
	}
}

func TestInWords(t *testing.T) {
	for _, c := range []struct {
		name        string
		ref, sample Lab
		want        string
	}{
		{"the same", Lab{38, 18, 24}, Lab{38, 18, 24}, "no visible difference"},
		{"a trace", Lab{38, 18, 24}, Lab{38.2, 18.1, 24.1}, "no visible difference"},
		{"needs a coat", Lab{38, 18, 24}, Lab{40, 18.5, 25}, "clearly lighter, slightly brighter"},
		{"a coat too many", Lab{38, 18, 24}, Lab{36, 17, 22}, "clearly darker, slightly duller, slightly redder"},
		{"faded brown", Lab{38, 18, 24}, Lab{39.5, 16.5, 21}, "clearly lighter, clearly duller, slightly redder"},
		{"sun-darkened hide", Lab{72, 10, 24}, Lab{58, 16, 30}, "much darker, much brighter, clearly redder"},
		{"navy", Lab{25, -4, -14}, Lab{25, -4, -12}, "clearly duller, slightly greener"},
		{"black, warm cast", Lab{18, 0, 0}, Lab{18, 0.5, 0.5}, "slightly redder, slightly yellower"},
		{"black, blue cast", Lab{18, 0, 0}, Lab{18, 0, -2}, "clearly bluer"},
		{"black, green cast", Lab{18, 1, 0}, Lab{18, -1, 0}, "clearly greener"},
		{"grey to brown", Lab{40, 0.5, 0.5}, Lab{40, 8, 10}, "much redder, much yellower"},
		{"across grey", Lab{40, 3, 4}, Lab{40, -3, -4}, "much greener, much bluer"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := InWords(c.ref, c.sample, UnitWeights()).String(); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}

// TestInWordsTurnsRound: seen from the other side of a small difference every
// word becomes its opposite.
func TestInWordsTurnsRound(t *testing.T) {
	opposite := strings.NewReplacer("lighter", "darker", "darker", "lighter", "brighter", "duller", "duller", "brighter",
		"redder", "yellower", "yellower", "redder")
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.Float64Range(-3, 3)
		ref := Lab{40, 18, 24} // 53°: a brown, with room on both sides before the words change
		sample := Lab{40 + step.Draw(t, "ΔL*"), 18 + step.Draw(t, "Δa*"), 24 + step.Draw(t, "Δb*")}
		there, back := InWords(ref, sample, UnitWeights()).String(), InWords(sample, ref, UnitWeights()).String()
		if opposite.Replace(there) != back {
			t.Errorf("%q there, %q back", there, back)
		}
	})
}

// TestUnnamedIsUnseen: what has no word is under the published 0.8 units.
func TestUnnamedIsUnseen(t *testing.T) {
	const perceptible = 0.8 // Paravina 2015
	rapid.Check(t, func(t *rapid.T) {
		ref, step := anyLab(t, "ref"), rapid.Float64Range(-0.7, 0.7)
		sample := Lab{ref.L + step.Draw(t, "ΔL*"), ref.A + step.Draw(t, "Δa*"), ref.B + step.Draw(t, "Δb*")}
		if e := DeltaE2000(ref, sample, UnitWeights()); InWords(ref, sample, UnitWeights()) == (Words{}) && e >= perceptible {
			t.Errorf("ΔE00 %g has no word", e)
		}
	})
}

func ExampleInWords() {
	swatch, piece := Lab{38, 18, 24}, Lab{40, 18.5, 25}
	fmt.Println(InWords(swatch, piece, UnitWeights()))
	// Output: clearly lighter, slightly brighter
}
