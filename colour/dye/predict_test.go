package dye

import (
	"slices"
	"testing"

	"evenhide/colour"
)

// What a prediction is said not to hang on moves it by nothing at all: carrying every
// number's uncertainty would give the same.
func TestHangsOn(t *testing.T) {
	for name, target := range map[string]*colour.Lab{"no target": nil, "a mix": {L: 40, A: 24, B: 24}, "another dye": {L: 40, A: 2, B: -45}} {
		v := testView()
		v.Dabs = v.Dabs[:3]
		if target != nil {
			seen := sure(*target)
			v.Target = &seen
		}
		p, err := NewPalette(testNames()[:3], []View{v})
		if err != nil {
			t.Fatal(err)
		}
		if mixed := name == "a mix"; target != nil && p.look.mixed != mixed {
			t.Fatalf("%s: mixed %v", name, p.look.mixed)
		}
		blend, err := p.with(InHand{Parts: []float64{1, 2, 0}, ML: 10})
		if err != nil {
			t.Fatal(err)
		}
		hangsOnly(t, name, p, []float64{.3, 0, .2})
		hangsOnly(t, name, p, []float64{0, 0, 1})
		hangsOnly(t, name+", with a blend", blend, []float64{0, .1, 0, .7})
	}
}

// hangsOnly differentiates a prediction by every number.
func hangsOnly(t *testing.T, name string, p *Palette, amounts []float64) {
	t.Helper()
	on, x := p.hangsOn(amounts), slices.Clone(p.known.mean)
	f := func(x []float64) []float64 { return p.apart(x, amounts) }
	slope := derivative(f, span(nil, 0, len(x)), x, f(x))
	for i := range x {
		for k := range 3 {
			if v := slope.At(k, i); v != 0 && !slices.Contains(on, i) {
				t.Errorf("%s, %v: number %d moves it by %g", name, amounts, i, v)
			}
		}
	}
	for i, n := range on {
		if slices.Contains(on[:i], n) {
			t.Errorf("%s, %v: number %d is counted twice", name, amounts, n)
		}
	}
}
