package dye

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"evenhide/colour"
)

// onHide returns the colour of bareHide dyed with the reference's dye at a strength
// where the hide has more K/S by a share: the law itself, band by band.
func onHide(reference Sample, strength, share float64) Sample {
	sp := newSpace()
	l := newLine(sp.bands(bareHide().RGB), sp.bands(reference.RGB), Saunderson{})
	return Sample{RGB: sp.rgb(l.on(share).at(strength))}
}

// Darker hide under a pale dye is not taken for a stronger dye, nor for another one.
func TestHideUnderADabIsNotDye(t *testing.T) {
	const (
		share  = .15
		left   = 1. / 3 // of the error that such hide makes when it is taken for even
		strong = 1.1
	)
	tan := sampleOf(.52, .26, .09)
	even := DabOptions()
	even.Hide, even.ShadeHide, even.Veil, even.Power = 0, 0, 0, 1
	one, err := Relative(bareHide(), tan, onHide(tan, strong, share), even)
	if err != nil {
		t.Fatal(err)
	}
	uneven := even
	uneven.Hide, uneven.ShadeHide = share, share
	two, err := Relative(bareHide(), tan, onHide(tan, strong, share), uneven)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(two.Value-strong) > left*math.Abs(one.Value-strong) {
		t.Errorf("strength %.3f, with the hide for even %.3f; %.2f is right", two.Value, one.Value, strong)
	}
	if two.Shade.DE > left*one.Shade.DE {
		t.Errorf("shade left %.2f, with the hide for even %.2f; none is right", two.Shade.DE, one.Shade.DE)
	}
	if two.U < one.U {
		t.Errorf("± %.3f on uneven hide, ± %.3f on even", two.U, one.U)
	}
}

// Each reading on a place of hide of its own, all of them under one veil, many
// photos: the scatter is what the uncertainty says, on even hide and on hide that varies.
func TestScatterOfDabsIsTheUncertainty(t *testing.T) {
	for _, hide := range []float64{evenHide, unevenHide} {
		for name, reference := range dyeings() {
			for _, c := range []struct {
				strength float64
				places   int // of the dab
				of       int // and of the reference
			}{{.8, 1, 1}, {1, 1, 1}, {1, 3, 1}, {1, 1, 3}, {1, 3, 3}, {1.4, 1, 1}} {
				opt := DabOptions()
				opt.Model, opt.Hide = false, hide
				truth := onHide(reference, c.strength, 0)
				truth.Places, reference.Places = c.places, c.of
				claimed, err := Relative(veiled(bareHide(), opt), veiled(reference, opt), veiled(truth, opt), opt)
				if err != nil {
					t.Fatal(err)
				}
				const within = .1 // first order in a bent law
				near(t, fmt.Sprintf("%s at %g, %d places against %d, hide %g", name, c.strength, c.places, c.of, hide),
					claimed.Readings/scatterOfDabs(t, reference, c.strength, c.places, opt), 1, within)
			}
		}
	}
}

// scatterOfDabs returns half the width of the middle 68.3 % of the strengths of many
// photos' dabs: on uneven hide a few stray further than first order tells, navy's 95 % by
// a third.
func scatterOfDabs(t *testing.T, reference Sample, strength float64, places int, opt Options) float64 {
	t.Helper()
	const trials = 1500 // knows it to 3 %
	r := rand.New(rand.NewPCG(3, uint64(places)))
	sp := newSpace()
	var all []float64
	for range trials {
		var veil bands
		for i := range veil {
			veil[i] = opt.Veil + opt.Offset*r.NormFloat64()
		}
		seen := func(strength float64, places int) Sample {
			s := onHide(reference, strength, math.Expm1(opt.Hide/math.Sqrt(float64(places))*r.NormFloat64()))
			b := sp.bands(s.RGB)
			for i := range b {
				b[i] += veil[i] + opt.Floor*r.NormFloat64()
			}
			return Sample{RGB: sp.rgb(b), Places: places}
		}
		got, err := Relative(seen(0, 1), seen(1, reference.Places), seen(strength, places), opt)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, got.Value)
	}
	slices.Sort(all)
	at := func(q float64) float64 { return all[int(q*trials)] }
	return (at(.8413) - at(.1587)) / 2
}

// veiled returns the sample under the veil that is expected.
func veiled(s Sample, opt Options) Sample {
	s.RGB.R, s.RGB.G, s.RGB.B = s.RGB.R+opt.Veil, s.RGB.G+opt.Veil, s.RGB.B+opt.Veil // a grey is alike in RGB and bands
	return s
}

// A veil as expected changes nothing, but on what is darker than the veil itself.
func TestVeilIsTakenOff(t *testing.T) {
	const float = 1e-9
	bare := DabOptions()
	bare.Veil = 0
	for name, reference := range dyeings() {
		seen := dyed(bareHide().RGB, reference.RGB, 1.3)
		want, err := Relative(bareHide(), reference, Sample{RGB: seen}, bare)
		if err != nil {
			t.Fatal(err)
		}
		opt := DabOptions()
		got, err := Relative(veiled(bareHide(), opt), veiled(reference, opt), veiled(Sample{RGB: seen}, opt), opt)
		if err != nil {
			t.Fatal(err)
		}
		near(t, name, got.Value, want.Value, float)
		near(t, name+", shade", got.Shade.DE, want.Shade.DE, float)
	}
	if _, err := Relative(bareHide(), dyeings()["black"], grey(.002), DabOptions()); errors.Is(err, ErrReflectance) {
		t.Errorf("darker than the veil: %v", err)
	}
}

// Where K/S grows with a power of concentration, strength is the concentration, and
// the shade left is none.
func TestPowerIsUndone(t *testing.T) {
	const float = 1e-6
	opt := DefaultOptions()
	opt.Power = .9
	for _, concentration := range []float64{.6, 1, 1.5} {
		seen := dyed(bareHide().RGB, dyeings()["brown"].RGB, math.Pow(concentration, opt.Power))
		got, err := Relative(bareHide(), dyeings()["brown"], Sample{RGB: seen}, opt)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "strength", got.Value, concentration, float)
		near(t, "shade", got.Shade.DE, 0, float)
		if lo, hi := got.Interval[0], got.Interval[1]; !(lo < concentration && concentration < hi) {
			t.Errorf("%g to %g does not hold %g", lo, hi, concentration)
		}
	}
}

func TestOptionsAreChecked(t *testing.T) {
	for _, bad := range []Options{{Offset: -1}, {Hide: math.NaN()}, {Hide: 1}, {Bend: -.1}, {ShadeHide: -1}, {Veil: math.NaN()}, {Power: -1}} {
		if _, err := Relative(bareHide(), grey(.1), grey(.1), bad); !errors.Is(err, ErrReflectance) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

// A caller who says that nothing is uncertain still gets a strength.
func TestNothingUncertain(t *testing.T) {
	got, err := Relative(bareHide(), grey(.1), grey(.08), Options{Hide: .5, Weights: colour.UnitWeights()})
	if err != nil || !(got.Value > 1 && got.Value < 1.6) {
		t.Errorf("strength %g, %v", got.Value, err)
	}
}

// Where K/S goes with a power p of concentration, strength 1.5 is a concentration of
// 1.5^(1/p).
func TestBendGrowsWithTheDistance(t *testing.T) {
	const h, rounding = 1e-4, 1e-6
	moved := (math.Pow(1.5, 1/(1-h)) - math.Pow(1.5, 1/(1+h))) / (2 * h)
	opt := DefaultOptions()
	opt.Bend = .05
	dark := dyed(bareHide().RGB, dyeings()["brown"].RGB, 1.5)
	for _, c := range []struct {
		sample Sample
		want   float64
	}{{Sample{RGB: dark}, math.Hypot(modelShare*.5, opt.Bend*moved)}, {dyeings()["brown"], 0}} {
		got, err := Relative(bareHide(), dyeings()["brown"], c.sample, opt)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "model", got.Model, c.want, rounding)
	}
}
