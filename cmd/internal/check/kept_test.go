package check

import (
	"strings"
	"testing"

	"evenhide/colour"
)

// TestSameLight says of which photos a kept swatch is believed closely.
func TestSameLight(t *testing.T) {
	const window, phone = "north window", "Marsh 1"
	for _, c := range []struct {
		name               string
		keptLight, keptCam string
		light, cam         string
		told, same         bool
		note               string
	}{
		{"same name and camera", window, phone, window, phone, false, true, ""},
		{"another light", window, phone, "lamp", phone, false, false, "another light"},
		{"a light without a name", window, phone, "", phone, false, false, "another light"},
		{"two lights without a name", "", phone, "", phone, false, false, "another light"},
		{"another camera", window, phone, window, "Marsh 2", false, false, "another camera"},
		{"a camera that is not recorded", window, "", window, phone, false, false, "no telling"},
		{"two that are not recorded", window, "", window, "", false, false, "no telling"},
		{"said to be the same", "", phone, "", phone, true, true, ""},
		{"said to be the same, no camera recorded", window, "", "", "", true, true, ""},
		{"said to be the same, by another camera", window, phone, window, "Marsh 2", true, false, "another camera"},
	} {
		b := bench{camera: c.cam, rq: Request{Light: c.light, SameLight: c.told}}
		same, note := b.sameLight(Kept{Light: c.keptLight, Camera: c.keptCam})
		if same != c.same || (note == "") != (c.note == "") || !strings.Contains(note, c.note) {
			t.Errorf("%s: %v, %q; wanted %v, %q", c.name, same, note, c.same, c.note)
		}
	}
}

// TestMeanSwatch holds the mean of two photos to a calculation by hand: L* 40 and 41
// have the mean 40.5 with variance 0.25 from their spread and 2·0.1/4 of their own;
// what the print may be off by stays as it is, as it is one print.
func TestMeanSwatch(t *testing.T) {
	photo := func(l float64, warning string) Swatch {
		return Swatch{Camera: "Marsh 1", Card: "RWX3PN", Lab: colour.Lab{L: l, A: 10, B: 20},
			Cov: colour.Diagonal(.1, .1, .1), Print: colour.Diagonal(1, 1, 1), Warnings: []string{warning}}
	}
	got, err := MeanSwatch([]Swatch{photo(40, "dim"), photo(41, "dim")}, colour.UnitWeights())
	if err != nil {
		t.Fatal(err)
	}
	if got.Lab != (colour.Lab{L: 40.5, A: 10, B: 20}) || got.Cov != colour.Diagonal(.3, .05, .05) || got.Print != colour.Diagonal(1, 1, 1) || len(got.Warnings) != 1 {
		t.Errorf("%+v", got)
	}
	for _, change := range []func(*Swatch){
		func(s *Swatch) { s.Camera = "" }, func(s *Swatch) { s.Card = "4F7K2Q" }, func(s *Swatch) { s.Measured = true }, func(s *Swatch) { s.Lab.L = 50 },
	} {
		other := photo(40, "")
		change(&other)
		if _, err := MeanSwatch([]Swatch{photo(40, ""), other}, colour.UnitWeights()); err == nil {
			t.Errorf("a mean with %+v was made", other)
		}
	}
}
