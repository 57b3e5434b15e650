package tolerance

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"evenhide/colour"
)

// TestAverage holds the mean of three readings to a calculation by hand: L* 40, 41,
// 42 spread with variance 1, so the mean's is 1/3; each reading's own variance of
// 0.3 adds 3·0.3/9 = 0.1.
func TestAverage(t *testing.T) {
	var readings []Estimate
	for _, l := range []float64{40, 41, 42} {
		readings = append(readings, Estimate{Lab: colour.Lab{L: l, A: 10, B: 20}, Cov: colour.Diagonal(.3, .3, .3)})
	}
	const rounding = 1e-12
	got := Average(readings)
	want := Estimate{Lab: colour.Lab{L: 41, A: 10, B: 20}, Cov: colour.Diagonal(.1+1./3, .1, .1)}
	for i := range got.Cov {
		for j := range got.Cov {
			if math.Abs(got.Cov[i][j]-want.Cov[i][j]) > rounding {
				t.Errorf("covariance %v, wanted %v", got.Cov, want.Cov)
			}
		}
	}
	if colour.DeltaE76(got.Lab, want.Lab) > rounding {
		t.Errorf("mean %v, wanted %v", got.Lab, want.Lab)
	}
	if one := Average(readings[:1]); one.Lab != readings[0].Lab || one.Cov != readings[0].Cov {
		t.Errorf("the mean of one reading is %v", one)
	}
}

// TestOdd draws photos that agree as closely as their covariance says, and one that
// is far off: it is named, wherever it stands, and none is without it.
func TestOdd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		step := func(name string, most int) float64 { return float64(rapid.IntRange(-most, most).Draw(t, name)) / 100 }
		n := rapid.IntRange(2, 5).Draw(t, "photos")
		var readings []Estimate
		for range n {
			readings = append(readings, Estimate{Cov: colour.Diagonal(.04, .04, .04),
				Lab: colour.Lab{L: 40 + step("L", 20), A: 15 + step("a", 20), B: 20 + step("b", 20)}})
		}
		if i, d := Odd(readings, colour.UnitWeights(), SameLight()); i >= 0 {
			t.Fatalf("photo %d is called odd, by %.2f (%.2f)", i, d.DE, d.Interval)
		}
		far := rapid.IntRange(0, n-1).Draw(t, "far one")
		readings[far].Lab.L += 8
		want := far
		if n == 2 {
			want = 1
		}
		if i, d := Odd(readings, colour.UnitWeights(), SameLight()); i != want {
			t.Fatalf("photo %d is called odd, by %.2f (%.2f), wanted %d", i, d.DE, d.Interval, want)
		}
	})
	if i, _ := Odd([]Estimate{{}}, colour.UnitWeights(), SameLight()); i != -1 {
		t.Errorf("a single photo cannot be odd, found %d", i)
	}
}
