package check

import (
	"math"
	"testing"

	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Worked by hand, for L*: dabs of 50 and 52, each known to a variance of 1, spread by 2.
// Of the mean that is (4·1 + 2) / (2·(4 + 1)), and by the spread alone 2 / (2·1); a single
// dab is known to what it is.
func TestMeanOfDabs(t *testing.T) {
	const rounding = 1e-12
	dab := func(l, lit, shared float64) tolerance.Estimate {
		return tolerance.Estimate{Lab: colour.Lab{L: l, A: 3, B: 9}, Cov: colour.Diagonal(1, 4, 9), Lit: lit, Shared: []colour.Lab{{L: shared}}}
	}
	a, b := dab(50, .9, 1), dab(52, 1.1, 2)
	for name, c := range map[string]struct {
		of    []tolerance.Estimate
		known float64
		want  tolerance.Estimate
	}{
		"two":           {[]tolerance.Estimate{a, b}, 4, tolerance.Estimate{Lab: colour.Lab{L: 51}, Lit: 1, Shared: []colour.Lab{{L: 1.5}}, Cov: colour.Diagonal(.6, 1.6, 3.6)}},
		"by the spread": {[]tolerance.Estimate{a, b}, 0, tolerance.Estimate{Lab: colour.Lab{L: 51}, Lit: 1, Shared: []colour.Lab{{L: 1.5}}, Cov: colour.Diagonal(1, 0, 0)}},
		"one":           {[]tolerance.Estimate{a}, 4, tolerance.Estimate{Lab: colour.Lab{L: 50}, Lit: .9, Shared: []colour.Lab{{L: 1}}, Cov: colour.Diagonal(1, 4, 9)}},
	} {
		got := mean(c.of, c.known)
		far := math.Abs(got.Lab.L-c.want.Lab.L) + math.Abs(got.Lit-c.want.Lit) + math.Abs(got.Shared[0].L-c.want.Shared[0].L)
		for i := range got.Cov {
			for j := range got.Cov {
				far = max(far, math.Abs(got.Cov[i][j]-c.want.Cov[i][j]))
			}
		}
		if far > rounding || got.Lab.A != 3 {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
	}
	if a.Shared[0].L != 1 {
		t.Error("what one dab shares was written over")
	}
}

// Worked by hand for grey hide of L* 70: it reflects .4075, K/S .4307. With e^.3 times that
// it reflects .3563, L* 66.24, and with e^-.3 times .4589, L* 73.47. A dab moves the less the
// more dye there is on it, and none where the hide is even.
func TestOnHide(t *testing.T) {
	const moved, rounding = 3.61, .01
	table := dabTable{hide: tolerance.Estimate{Lab: colour.Lab{L: 70}}}
	move := func(l float64) float64 {
		return math.Sqrt(table.onHide([]tolerance.Estimate{{Lab: colour.Lab{L: l}}})[0].Cov[0][0])
	}
	if got := move(70); got != 0 {
		t.Errorf("even hide moves by %g", got)
	}
	table.options.Hide = .3
	if got := move(70); math.Abs(got-moved) > rounding {
		t.Errorf("bare hide moves by %.3f L*, want %g", got, moved)
	}
	if pale, dark := move(55), move(25); !(pale < moved && dark < pale/3 && dark > 0) {
		t.Errorf("a pale dab moves by %.2f, a dark one by %.2f", pale, dark)
	}
}
