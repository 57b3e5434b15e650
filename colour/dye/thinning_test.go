package dye

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

const rounding = 1e-9

func TestThinning(t *testing.T) {
	w, err := Thinning(Strength{Value: 1.25, Interval: [2]float64{1.1, 1.4}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ml", w.ML, 25, rounding) // 125 ml hold what 100 ml held
	near(t, "least", w.Least, 10, rounding)
	near(t, "most", w.Most, 40, rounding)
	if w, err = Thinning(Strength{Value: 1.05, Interval: [2]float64{.95, 1.15}}); err != nil || w.Least != 0 {
		t.Errorf("may be right as it is: %+v, %v", w, err)
	}
	for _, bad := range []float64{1, .9, math.NaN()} {
		if _, err := Thinning(Strength{Value: bad}); !errors.Is(err, ErrNotStrong) {
			t.Errorf("strength %g: %v", bad, err)
		}
	}
}

// A bottle of which a dab of half is 0.8 strong and as it is 1.2: strength 1 lies
// halfway, at 0.75, which is 33 ml of water for 100; by proportion it would be 20.
func TestLadder(t *testing.T) {
	l, err := NewLadder([]Rung{{1, 1.2, .04}, {.5, .8, .04}})
	if err != nil {
		t.Fatal(err)
	}
	w, err := l.Thinning()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ml", w.ML, 100/3., rounding)
	near(t, "least", w.Least, 100*(1/.8-1), rounding) // strength 1.04 at .8
	near(t, "most", w.Most, 100*(1/.7-1), rounding)
	s, _ := l.Strength(.25)
	near(t, "between no dye and the first rung", s, .4, rounding)
	if _, err := l.Strength(1.1); !errors.Is(err, ErrOffLadder) {
		t.Errorf("above the bottle: %v", err)
	}
	if _, _, err := l.Concentration(1.3); !errors.Is(err, ErrOffLadder) {
		t.Errorf("above the strongest dab: %v", err)
	}
}

// .9 at half after 1.1 at a quarter: both become their mean by weight, by hand
// (1.1·4 + .9·1)/5 = 1.06 where the first is twice as sure.
func TestLadderPoolsWhatFalls(t *testing.T) {
	l, err := NewLadder([]Rung{{.25, 1.1, .05}, {.5, .9, .1}, {1, 1.5, .05}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []float64{.25, .4, .5} {
		s, _ := l.Strength(c)
		near(t, "strength", s, 1.06, rounding)
	}
	lowest, highest, err := l.Concentration(1.06)
	if err != nil || lowest != .25 || highest != .5 {
		t.Errorf("%g to %g, %v", lowest, highest, err)
	}
}

func TestDisordered(t *testing.T) {
	if _, _, found := Disordered([]Rung{{1, 1.2, .05}, {.75, .9, .05}, {.7, .95, .05}}); found { // within what they are known to
		t.Error("found where the dabs leave it open")
	}
	if more, less, found := Disordered([]Rung{{1, 1.2, .05}, {.5, .9, .05}, {.75, .6, .05}}); !found || more != 2 || less != 1 {
		t.Errorf("%d, %d, %v: wanted 2, 1", more, less, found)
	}
}

func TestLadderRefuses(t *testing.T) {
	for name, rungs := range map[string][]Rung{
		"none": nil, "one": {{1, 1, .1}}, "one twice": {{1, 1, .1}, {1, 1.1, .1}},
		"zero": {{0, 1, .1}, {1, 1, .1}}, "NaN": {{.5, math.NaN(), .1}, {1, 1, .1}}, "certain": {{.5, .5, 0}, {1, 1, 0}},
	} {
		if _, err := NewLadder(rungs); !errors.Is(err, ErrLadder) {
			t.Errorf("%s: %v", name, err)
		}
	}
	weak, _ := NewLadder([]Rung{{.5, .4, .1}, {1, .8, .1}})
	if _, err := weak.Thinning(); !errors.Is(err, ErrOffLadder) {
		t.Errorf("weak bottle: %v", err)
	}
	right, _ := NewLadder([]Rung{{.5, .5, .1}, {1, 1, .1}})
	if _, err := right.Thinning(); !errors.Is(err, ErrNotStrong) {
		t.Errorf("right bottle: %v", err)
	}
	vague, _ := NewLadder([]Rung{{.5, .9, 2}, {1, 1.8, 2}})
	if _, err := vague.Thinning(); !errors.Is(err, ErrLadder) {
		t.Errorf("vague dabs: %v", err)
	}
}

func TestLadderNeverFalls(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		value := func(name string) float64 { return rapid.Float64Range(.05, 2).Draw(rt, name) }
		rungs := []Rung{{.1, value("first"), value("u")}, {1, value("last"), value("u")}}
		for range rapid.IntRange(0, 5).Draw(rt, "more") {
			rungs = append(rungs, Rung{value("c"), value("s"), value("u")})
		}
		l, err := NewLadder(rungs)
		if err != nil {
			rt.Fatal(err)
		}
		last := 0.0
		for c := 0.0; c <= 1; c += .05 {
			s, err := l.Strength(c)
			if err != nil || s < last-rounding {
				rt.Fatalf("%g after %g at %g, %v", s, last, c, err)
			}
			lo, hi, err := l.Concentration(s)
			if err != nil || lo > hi {
				rt.Fatalf("strength %g of %g is back at %g to %g, %v", s, c, lo, hi, err)
			}
			for _, back := range []float64{lo, hi} { // not back at c: a curve may be all but flat
				if again, err := l.Strength(back); err != nil || math.Abs(again-s) > rounding {
					rt.Fatalf("strength %g of %g is back at %g, which has %g, %v", s, c, back, again, err)
				}
			}
			last = s
		}
	})
}
