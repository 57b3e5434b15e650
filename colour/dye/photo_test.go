package dye

import (
	"testing"

	"evenhide/colour"
)

// A veil lies over the card too, and is taken off what is read from a photo alone: the
// more the darker the light, and all of it again when it is laid over the colour.
func TestClear(t *testing.T) {
	const rounding = 1e-9
	dark := colour.Lab{L: 22, A: 6, B: -14}
	if got := (Reading{Lab: dark}).Clear(); got != dark {
		t.Errorf("not of a photo: %v, wanted %v", got, dark)
	}
	for _, lit := range []float64{1, .5} {
		clear := FromLab(dark, colour.Matrix{}, nil).RGB
		veiled := labOfRGB(lifted(clear, lensVeil/lit))
		got := Reading{Lab: veiled, Lit: lit}.Clear()
		if d := colour.DeltaE76(got, dark); d > rounding {
			t.Errorf("in %g of the light: %v, wanted %v", lit, got, dark)
		}
	}
}

// What is off in a photo's greys moves all of its readings; those that tell nothing of
// what they share, and those of no photo, share nothing.
func TestSharedInAPhoto(t *testing.T) {
	of := Reading{Lab: colour.Lab{L: 70, A: 10, B: 24}, Lit: 1, Shared: []colour.Lab{{L: 1}}}
	got := of.inPhoto()
	if len(got.Shared) != 8 || got.Shared[0] != of.Shared[0] {
		t.Fatalf("%d sources, wanted its own, a veil and two of each channel: %v", len(got.Shared), got.Shared)
	}
	if veil := got.Shared[1]; veil.L <= 0 || veil.B >= 0 {
		t.Errorf("a veil moves it by %v, wanted lighter and greyer", veil)
	}
	if len(of.Shared) != 1 {
		t.Error("the reading's own sources were changed")
	}
	for _, r := range []Reading{{Lab: of.Lab, Lit: 1}, {Lab: of.Lab, Shared: of.Shared}} {
		if n := len(r.inPhoto().Shared); n != len(r.Shared) {
			t.Errorf("%+v shares %d, wanted %d", r, n, len(r.Shared))
		}
	}
}

// A thinned dab may be as pale as a darker place of the hide: another tells the dye.
func TestPaleDab(t *testing.T) {
	hide := Reading{Lab: colour.Lab{L: 70, A: 10, B: 24}}
	strong := Dab{Pure(0, 1), Reading{Lab: colour.Lab{L: 58, A: 20, B: 36}}}
	pale := Dab{Pure(0, .2), Reading{Lab: colour.Lab{L: 70.2, A: 11, B: 26}}}
	if err := check([]string{"Tan"}, []View{{Hide: hide, Dabs: []Dab{strong, pale}}}); err != nil {
		t.Error(err)
	}
	if err := check([]string{"Tan"}, []View{{Hide: hide, Dabs: []Dab{pale}}}); err == nil {
		t.Error("a pale dab alone was taken")
	}
}
