package surface

import "testing"

// For normal numbers spread is sigma: a median distance of 0.6745 σ.
func TestSpread(t *testing.T) {
	vals := make([]float64, 20000)
	r := source(42)
	for i := range vals {
		vals[i] = 5 + 3*r.NormFloat64()
	}
	// 1.17/√n is the relative standard error of this spread; four of them.
	near(t, "spread", spread(vals, 5), 3, 3*4*1.17/141)
	if got := spread(nil, 0); got != 0 {
		t.Errorf("spread of nothing is %v", got)
	}
}
