package card

import (
	"math"
	"testing"
)

// A Gaussian edge is 2.5631 standard deviations wide from 10 to 90 %: twice the
// normal distribution's 90 % quantile, 1.28155.
const gaussianEdge = 2.5631

// edgeWithin is the share by which the width of an edge may be off. By as much more
// blur about the limit of what is judged, streaks fade by 1 to 2 % more.
const edgeWithin = 0.10

// TestEdgeWidth holds the measured width against the blur put in. The photo's own
// cells, four places each, and their interpolation blur by another half cell (standard deviation).
func TestEdgeWidth(t *testing.T) {
	p := newPrinted(t, testSerial)
	for seed, blur := range []float64{0.7, 1, 1.5, 2, 2.4} {
		s := straight()
		s.turn, s.noise, s.slope = 10+40*float64(seed), 0.02, 0.4
		s.blur = blur
		f, _ := s.take(uint64(seed), p)
		got, err := Find(f)
		if err != nil {
			t.Errorf("blur of %v cells: %v", blur, err)
			continue
		}
		want := gaussianEdge * math.Hypot(blur, 0.5) / s.perMM
		t.Logf("blur of %.1f cells: %.2f mm, wanted %.2f", blur, got.EdgeMM, want)
		if math.Abs(got.EdgeMM/want-1) > edgeWithin {
			t.Errorf("blur of %v cells: edges %.2f mm wide, wanted %.2f", blur, got.EdgeMM, want)
		}
	}
}
