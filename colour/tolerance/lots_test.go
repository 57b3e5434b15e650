package tolerance

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"evenhide/colour"
)

// names returns the names of each lot's samples.
func names(samples []Sample, lots [][]int) (out [][]string) {
	for _, lot := range lots {
		var group []string
		for _, i := range lot {
			group = append(group, samples[i].Name)
		}
		out = append(out, group)
	}
	return out
}

// Neutrals at L* 48, 48.4, 48.9, 49.3, 51 and 51.9: SL of their pairs is 1 to 1.010,
// so that ΔE00 is the difference in L* within a hundredth. 0.4 between a b and
// between c d is least, and they join; e f are 0.9 apart and next; then a b and c d
// have their furthest, a and d, 1.3 apart. So at a limit of 1 there are three pairs,
// though b and c are only 0.5 apart; at 1.4 a b c d are one lot, at 0.5 e and f alone.
func TestLotsWorkedByHand(t *testing.T) {
	var samples []Sample
	for i, above := range []float64{0, .4, .9, 1.3, 3, 3.9} {
		samples = append(samples, Sample{string(rune('a' + i)), colour.Lab{L: 48 + above}})
	}
	for limit, want := range map[float64][][]string{
		0.5: {{"a", "b"}, {"c", "d"}, {"e"}, {"f"}},
		1.0: {{"a", "b"}, {"c", "d"}, {"e", "f"}},
		1.4: {{"a", "b", "c", "d"}, {"e", "f"}},
		4.0: {{"a", "b", "c", "d", "e", "f"}},
		0.1: {{"a"}, {"b"}, {"c"}, {"d"}, {"e"}, {"f"}},
	} {
		if diff := cmp.Diff(want, names(samples, Lots(samples, limit, colour.UnitWeights()))); diff != "" {
			t.Errorf("limit %v (-want +got):\n%s", limit, diff)
		}
	}
	const seen = .01 // what SL takes off, as above
	i, j, de := FurthestApart(samples, colour.UnitWeights())
	if samples[i].Name != "a" || samples[j].Name != "f" || math.Abs(de-3.9) > seen {
		t.Errorf("furthest apart %s and %s by %.3f, want a and f by 3.9", samples[i].Name, samples[j].Name, de)
	}
	// The mean is 9.5/6 above 48; the squares of the distances from it sum to
	// 0+.16+.81+1.69+9+15.21 - 9.5²/6 = 11.8283, their mean is 1.9714.
	mean, rms := Spread(samples, colour.UnitWeights())
	if math.Abs(mean.L-48-9.5/6) > 1e-9 || mean.A != 0 || math.Abs(rms-math.Sqrt(1.9714)) > seen {
		t.Errorf("mean %+v, spread %.4f, want L* %.4f and %.4f", mean, rms, 48+9.5/6, math.Sqrt(1.9714))
	}
}

func TestLotsOfNoneAndOne(t *testing.T) {
	if got := Lots(nil, 1, colour.UnitWeights()); len(got) != 0 {
		t.Errorf("of nothing: %v", got)
	}
	one := []Sample{{"a", colour.Lab{L: 50}}}
	if got := Lots(one, 1, colour.UnitWeights()); !cmp.Equal(got, [][]int{{0}}) {
		t.Errorf("of one: %v", got)
	}
	if mean, rms := Spread(one, colour.UnitWeights()); mean != one[0].Lab || rms != 0 {
		t.Errorf("of one: mean %v, spread %v", mean, rms)
	}
}

// drawSamples draws browns on a coarse grid, so that equal colours and equally far
// pairs come up.
func drawSamples(t *rapid.T) []Sample {
	tenths := func(label string) float64 { return float64(rapid.IntRange(0, 12).Draw(t, label)) / 4 }
	samples := make([]Sample, rapid.IntRange(1, 24).Draw(t, "pieces"))
	for i := range samples {
		samples[i] = Sample{fmt.Sprintf("piece %02d", i), colour.Lab{L: 38 + tenths("L"), A: 18 + tenths("a"), B: 24 + tenths("b")}}
	}
	return samples
}

func TestLotsKeepTheirPromise(t *testing.T) {
	w := colour.UnitWeights()
	rapid.Check(t, func(t *rapid.T) {
		samples := drawSamples(t)
		limit := float64(rapid.IntRange(1, 20).Draw(t, "limit")) / 8
		lots := Lots(samples, limit, w)
		between := func(a, b []int) (most float64) {
			for _, i := range a {
				for _, j := range b {
					if i != j {
						most = max(most, colour.DeltaE2000(samples[i].Lab, samples[j].Lab, w))
					}
				}
			}
			return most
		}
		const rounding = 1e-9 // ΔE00 of a pair may differ in its last bits by the order of the two
		var all []int
		for a, lot := range lots {
			all = append(all, lot...)
			if d := between(lot, lot); d > limit+rounding {
				t.Fatalf("lot %d: two are %.3f apart, over %.3f", a, d, limit)
			}
			for b := range a {
				if d := between(lots[b], lot); d <= limit-rounding {
					t.Fatalf("lots %d and %d could be one: at most %.3f apart, limit %.3f", b, a, d, limit)
				}
			}
		}
		slices.Sort(all)
		for i, v := range all {
			if v != i || len(all) != len(samples) {
				t.Fatalf("the lots hold %v of %d samples", all, len(samples))
			}
		}
	})
}

func TestLotsDoNotDependOnTheOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, samples := colour.UnitWeights(), drawSamples(t)
		limit := float64(rapid.IntRange(1, 20).Draw(t, "limit")) / 8
		shuffled := rapid.Permutation(samples).Draw(t, "order")
		if diff := cmp.Diff(names(samples, Lots(samples, limit, w)), names(shuffled, Lots(shuffled, limit, w))); diff != "" {
			t.Fatal(diff)
		}
		m1, r1 := Spread(samples, w)
		m2, r2 := Spread(shuffled, w)
		if m1 != m2 || r1 != r2 {
			t.Fatalf("mean and spread %v %v, shuffled %v %v", m1, r1, m2, r2)
		}
		i1, j1, d1 := FurthestApart(append(samples, samples[0]), w)
		i2, j2, d2 := FurthestApart(append(shuffled, samples[0]), w)
		a1, a2 := append(samples, samples[0]), append(shuffled, samples[0])
		if d1 != d2 || a1[i1].Lab != a2[i2].Lab || a1[j1].Lab != a2[j2].Lab {
			t.Fatalf("furthest apart %v %v, shuffled %v %v", a1[i1], a1[j1], a2[i2], a2[j2])
		}
	})
}

func BenchmarkLots2000(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	var samples []Sample
	for i := range 2000 {
		samples = append(samples, Sample{fmt.Sprint(i), colour.Lab{L: 38 + r.NormFloat64(), A: 18 + r.NormFloat64(), B: 24 + r.NormFloat64()}})
	}
	for b.Loop() {
		Lots(samples, 1, colour.UnitWeights())
	}
}
