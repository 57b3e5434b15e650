package scene

import (
	"math"
	"testing"

	"evenhide/colour"
)

func TestDeltaE2000Published(t *testing.T) {
	const rounding = 5e-5 // the table has four decimals
	for _, row := range published(t, "sharma2005_34pairs.csv") {
		v := make([]float64, 7)
		for i := range v {
			v[i] = number(t, row[len(row)-7+i])
		}
		p, q := colour.Lab{L: v[0], A: v[1], B: v[2]}, colour.Lab{L: v[3], A: v[4], B: v[5]}
		for _, got := range []float64{deltaE2000(p, q), deltaE2000(q, p)} {
			if math.Abs(got-v[6]) > rounding {
				t.Errorf("sharma/%s: %.5f, want %.4f", row[0], got, v[6])
			}
		}
	}
}

func TestLabRoundTrip(t *testing.T) {
	white := [3]float64{.95047, 1, 1.08883}
	worst := 0.0
	for l := 0.5; l <= 100; l += 7 {
		for a := -40.0; a <= 40; a += 20 {
			c := colour.Lab{L: l, A: a, B: a / 2}
			got := toLab(fromLab(c, white), white)
			worst = max(worst, math.Abs(got.L-c.L), math.Abs(got.A-c.A), math.Abs(got.B-c.B))
		}
	}
	const float = 1e-9
	if worst > float {
		t.Errorf("worst error %g", worst)
	}
}
