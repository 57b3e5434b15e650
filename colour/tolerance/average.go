package tolerance

import (
	"slices"

	"evenhide/colour"
)

// Average returns the mean of readings of one colour, each from a photo of its own,
// at least one. The covariance is the mean's: from the readings' own, and from how
// far they spread, which shows what no single photo can. The readings' own scatter
// is in both, so it is rather too large than too small. Shared sources are left
// aside.
func Average(readings []Estimate) Estimate {
	n := float64(len(readings))
	var mean Estimate
	for _, r := range readings {
		mean.Lab = colour.Lab{L: mean.Lab.L + r.Lab.L/n, A: mean.Lab.A + r.Lab.A/n, B: mean.Lab.B + r.Lab.B/n}
		mean.Cov = mean.Cov.Add(r.Cov.Scale(1 / (n * n)))
	}
	for _, r := range readings { // a single one is the mean itself
		off := [3]float64{r.Lab.L - mean.Lab.L, r.Lab.A - mean.Lab.A, r.Lab.B - mean.Lab.B}
		mean.Cov = mean.Cov.Add(colour.Outer(off).Scale(1 / (n * max(n-1, 1))))
	}
	return mean
}

// Odd returns the reading that differs most surely from the mean of the others, and
// that difference: one that noise alone gives in under one photo of a hundred. It
// returns -1 when all readings agree. Of two readings that do not, it is the second.
func Odd(readings []Estimate, w colour.Weights, m Model) (int, Difference) {
	odd, by := -1, Difference{}
	for i, r := range readings {
		if len(readings) == 1 || len(readings) == 2 && i == 0 {
			continue // nothing to differ from, or the same difference from the other side
		}
		others := Average(slices.Delete(slices.Clone(readings), i, i+1))
		d := Between(others, Estimate{Lab: r.Lab, Cov: r.Cov}, w, m)
		if d.Interval[0] > by.Interval[0] {
			odd, by = i, d
		}
	}
	return odd, by
}
