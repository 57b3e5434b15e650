package dye

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// The ladder of TestLadder: strength 1 lies at 0.75 and 1.1 at 0.875, by hand. The
// bottle has been thinned since from 1.2 to 1.1.
func TestWaterByLadder(t *testing.T) {
	l, err := NewLadder([]Rung{{1, 1.2, 1e-9}, {.5, .8, 1e-9}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "strongest", l.Strongest(), 1.2, rounding)
	w, err := l.Water(Strength{Value: 1.1, Interval: [2]float64{1.06, 1.16}})
	if err != nil {
		t.Fatal(err)
	}
	const close = 1e-6 // of ml: the dabs are known to 1e-9
	near(t, "ml", w.ML, 100*(.875/.75-1), close)
	near(t, "least", w.Least, 100*(.825/.75-1), close)
	near(t, "most", w.Most, 100*(.95/.75-1), close)
	w, err = l.Water(Strength{Value: 1.5, Interval: [2]float64{1.5, 1.5}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ml, beyond the strongest dab", w.ML, 100*(1.5/1.2/.75-1), close)
	whole, _ := l.Thinning()
	w, _ = l.Water(Strength{Value: 1.2, Interval: [2]float64{1.2, 1.2}})
	near(t, "ml, as when the ladder was laid", w.ML, whole.ML, close)
}

func TestWaterByLadderRefuses(t *testing.T) {
	l, _ := NewLadder([]Rung{{1, 1.2, .04}, {.5, .8, .04}})
	if _, err := l.Water(Strength{Value: 1}); !errors.Is(err, ErrNotStrong) {
		t.Errorf("as strong as the reference: %v", err)
	}
	weak, _ := NewLadder([]Rung{{1, .9, .04}, {.5, .5, .04}})
	if _, err := weak.Water(Strength{Value: 1.2, Interval: [2]float64{1.1, 1.3}}); !errors.Is(err, ErrOffLadder) {
		t.Errorf("a ladder of a weak bottle: %v", err)
	}
	vague, _ := NewLadder([]Rung{{1, 1.8, 2}, {.5, .9, 2}})
	if _, err := vague.Water(Strength{Value: 1.2, Interval: [2]float64{1.1, 1.3}}); !errors.Is(err, ErrLadder) {
		t.Errorf("vague dabs: %v", err)
	}
}

// A dye whose strength goes with its concentration to the power .85 is thinned right
// by a ladder of five dabs that are read to ±4 %, and with too little water by
// proportion; the range holds the truth in at least 95 of 100 cases.
func TestWaterByLadderHoldsTheTruth(t *testing.T) {
	const n, power, u = 4000, .85, .04
	random := rand.New(rand.NewPCG(1, 2))
	noisy := func(v float64) float64 { return v * (1 + u/2*random.NormFloat64()) }
	held, byProportion, sum, proportional := 0, 0, 0.0, 0.0
	for range n {
		top := 1.2 + .4*random.Float64() // of the reference's concentration, when the ladder was laid
		var rungs []Rung
		for _, c := range []float64{1, .85, .7, .55, .4} {
			s := math.Pow(c*top, power)
			rungs = append(rungs, Rung{c, noisy(s), u * s})
		}
		l, err := NewLadder(rungs)
		if err != nil {
			t.Fatal(err)
		}
		truth := 1.15 + (top-1.15)*random.Float64() // now
		s := math.Pow(truth, power)
		seen := noisy(s)
		st := Strength{Value: seen, Interval: [2]float64{seen - u*s, seen + u*s}}
		w, err := l.Water(st)
		if err != nil {
			if errors.Is(err, ErrNotStrong) { // by noise
				continue
			}
			t.Fatal(err)
		}
		linear, _ := Thinning(st)
		want := 100 * (truth - 1)
		if w.Least <= want && want <= w.Most {
			held++
		}
		if linear.Least <= want && want <= linear.Most {
			byProportion++
		}
		sum += w.ML - want
		proportional += linear.ML - want
	}
	t.Logf("held %.1f %%, by proportion %.1f %%; off by %.1f and %.1f ml on average",
		100*float64(held)/n, 100*float64(byProportion)/n, sum/n, proportional/n)
	if float64(held) < .95*n {
		t.Errorf("the range holds the truth in %d of %d", held, n)
	}
	if math.Abs(sum/n) > 1 || proportional/n > -3 { // ml of some 20; the curve's chords alone bring .3
		t.Errorf("off by %.1f ml by the ladder, %.1f by proportion", sum/n, proportional/n)
	}
}
