package order

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestRanked(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 0))
	for _, distinct := range []int{1, 2, 10, 1 << 30} {
		vals := make([]float64, 300)
		for i := range vals {
			vals[i] = float64(r.IntN(distinct))
		}
		want := slices.Sorted(slices.Values(vals))
		for k := range vals {
			if got := Ranked(slices.Clone(vals), k); got != want[k] {
				t.Fatalf("rank %d is %v, want %v", k, got, want[k])
			}
		}
	}
}

func TestQuantile(t *testing.T) {
	for _, c := range []struct {
		vals        []float64
		share, want float64
	}{
		{nil, .5, 0},
		{[]float64{7}, .9, 7},
		{[]float64{4, 1, 3, 2}, 0, 1},
		{[]float64{4, 1, 3, 2}, .5, 3},
		{[]float64{4, 1, 3, 2}, 1, 4},
		{[]float64{5, 1, 4, 2, 3}, .25, 2},
	} {
		if got := Quantile(slices.Clone(c.vals), c.share); got != c.want {
			t.Errorf("%g of %v is %v, want %v", c.share, c.vals, got, c.want)
		}
		if got := Median(slices.Clone(c.vals)); c.share == .5 && got != c.want {
			t.Errorf("the median of %v is %v, want %v", c.vals, got, c.want)
		}
	}
}
