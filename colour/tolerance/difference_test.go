package tolerance

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenhide/colour"
)

// A brown of the bench, a near-black and a navy: the three kinds of place in
// CIELAB that leather is dyed to.
var bench = map[string]colour.Lab{"brown": {L: 38, A: 18, B: 24}, "black": {L: 22, A: 1, B: 1}, "navy": {L: 28, A: 4, B: -22}}

func TestPartsHaveTheLengthOfTheDifference(t *testing.T) {
	const rounding = 1e-9
	r := rand.New(rand.NewPCG(1, 1))
	for range 2000 {
		random := func() colour.Lab {
			return colour.Lab{L: 100 * r.Float64(), A: 160*r.Float64() - 80, B: 160*r.Float64() - 80}
		}
		split := colour.Difference2000(random(), random(), colour.UnitWeights())
		v := parts(split)
		if got := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2]); math.Abs(got-split.DeltaE()) > rounding {
			t.Fatalf("length %v, ΔE00 %v", got, split.DeltaE())
		}
	}
}

// Noise of known covariance on the sample, many photos: the interval must hold
// the true difference about as often as it says, at every distance.
func TestIntervalCoversTheTruth(t *testing.T) {
	// 500 trials: a true 95 % lands within 92..98 in 99.7 % of runs; the
	// prior leans to the safe side near 0, where up to 100 % is right.
	const least, most, trials = .92, .985, 500
	for name, ref := range bench {
		for _, away := range []float64{0, .3, .6, 1, 2, 4} {
			for _, sigma := range []float64{.15, .4} {
				r := rand.New(rand.NewPCG(7, uint64(1000*away+10*sigma)))
				hit := 0
				truth := colour.Lab{L: ref.L + away*.8, A: ref.A + away*.3, B: ref.B - away*.5}
				want := colour.DeltaE2000(ref, truth, colour.UnitWeights())
				for range trials {
					// Correlated: most of the noise is in common to all three.
					common := r.NormFloat64()
					n := func() float64 { return sigma * (.8*common + .6*r.NormFloat64()) }
					seen := colour.Lab{L: truth.L + n(), A: truth.A + n(), B: truth.B + n()}
					d := Between(Estimate{Lab: ref}, Estimate{Lab: seen, Cov: correlated(sigma)}, colour.UnitWeights(), Model{})
					if d.Interval[0] <= want && want <= d.Interval[1] {
						hit++
					}
				}
				share := float64(hit) / trials
				if share < least || (share > most && want > 6*sigma) {
					t.Errorf("%s, ΔE00 %.2f, σ %.2f: covered in %.1f %%", name, want, sigma, 100*share)
				}
			}
		}
	}
}

func correlated(sigma float64) colour.Matrix {
	v, c := sigma*sigma, .64*sigma*sigma
	return colour.Matrix{{v, c, c}, {c, v, c}, {c, c, v}}
}

func TestLengthIntervalAtItsLimits(t *testing.T) {
	const sigma = .2
	cov := colour.Diagonal(sigma*sigma, sigma*sigma, sigma*sigma)
	const far = 8.0
	lo, hi := lengthInterval(vector{far, 0, 0}, cov)
	// The lower end is exact: two of the three variances lie across.
	const rounding = 1e-9
	if want := math.Sqrt(far*far-2*sigma*sigma) - 2*sigma; math.Abs(lo-want) > rounding {
		t.Errorf("far from 0: from %.4f, want %.4f", lo, want)
	}
	// The upper one is a rank: of 1024 points one is 0.017 σ there, and the prior has
	// moved it down by σ²/v. Together 0.0084.
	const rank = .017*sigma + sigma*sigma/far
	if want := far + 1.96*sigma; math.Abs(hi-want) > rank {
		t.Errorf("far from 0: to %.4f, want %.4f", hi, want)
	}
	lo, hi = lengthInterval(vector{}, cov)
	// A length that is as likely anywhere is half a normal one. Few points fall near 0,
	// where the prior has its weight: a twentieth of σ.
	const few = .05 * sigma
	if lo != 0 || math.Abs(hi-1.96*sigma) > few {
		t.Errorf("at 0: %.3f..%.3f, want 0..%.3f", lo, hi, 1.96*sigma)
	}
	// Noise along v alone: nothing across to take off.
	lo, hi = lengthInterval(vector{1, 0, 0}, colour.Diagonal(sigma*sigma, 0, 0))
	if math.Abs(lo-(1-2*sigma)) > rounding || math.Abs(hi-(1+1.96*sigma)) > .017*sigma {
		t.Errorf("noise along v: %.4f..%.4f, want %.4f..%.4f", lo, hi, 1-2*sigma, 1+1.96*sigma)
	}
	if lo, hi = lengthInterval(vector{0, 3, 4}, colour.Matrix{}); lo != 5 || hi != 5 {
		t.Errorf("with no uncertainty: %v..%v, want 5..5", lo, hi)
	}
}

func TestWhatMovesBothAlikeCancels(t *testing.T) {
	ref := bench["brown"]
	shift := colour.Lab{L: 1, A: .4, B: .5}
	far := Between(Estimate{Lab: ref}, Estimate{Lab: ref, Shared: []colour.Lab{shift}}, colour.UnitWeights(), Model{})
	both := Between(Estimate{Lab: ref, Shared: []colour.Lab{shift}}, Estimate{Lab: ref, Shared: []colour.Lab{shift}}, colour.UnitWeights(), Model{})
	if far.U < .5 {
		t.Errorf("a shift of one reading alone gives U = %.3f, want over 0.5", far.U)
	}
	const rounding = 1e-6
	if both.U > rounding {
		t.Errorf("a shift of both readings gives U = %.3g, want 0", both.U)
	}
}
