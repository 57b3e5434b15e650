package tolerance

import (
	"testing"

	"evenhide/colour"
)

// By hand: the scatters 0.04 and 0.09 add up; of a source that moves L* by 0.5 here
// and 0.2 there 0.3 remains, squared 0.09; one that moves both b* by 1 cancels; one
// that only the sample has, 0.4 in a*, stays, 0.16.
func TestCovFrom(t *testing.T) {
	sample := Estimate{Cov: colour.Diagonal(.04, .04, .04), Shared: []colour.Lab{{L: .5}, {B: 1}, {A: .4}}}
	ref := Estimate{Cov: colour.Diagonal(.09, .09, .09), Shared: []colour.Lab{{L: .2}, {B: 1}}}
	want := colour.Diagonal(.13+.09, .13+.16, .13)
	for _, got := range []colour.Matrix{sample.CovFrom(ref), ref.CovFrom(sample)} {
		for i := range got {
			for j := range got {
				const rounding = 1e-12
				if d := got[i][j] - want[i][j]; d > rounding || d < -rounding {
					t.Errorf("%v, want %v", got, want)
				}
			}
		}
	}
}
