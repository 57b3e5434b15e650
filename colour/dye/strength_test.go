package dye

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"evenhide/colour"
)

func grey(r float64) Sample { return Sample{RGB: colour.LinearRGB{R: r, G: r, B: r}} }

func sampleOf(r, g, b float64) Sample { return Sample{RGB: colour.LinearRGB{R: r, G: g, B: b}} }

func labOf(c colour.LinearRGB) colour.Lab {
	return colour.XYZToLab(colour.WorkingSpace().XYZ(c), colour.D65())
}

// Bare hide and dyeings on it as a camera sees them: a mid brown, a navy, a near
// black.
func bareHide() Sample { return sampleOf(.60, .36, .17) }

func dyeings() map[string]Sample {
	return map[string]Sample{"brown": sampleOf(.28, .09, .04), "navy": sampleOf(.03, .04, .075), "black": sampleOf(.022, .017, .016)}
}

// dyed returns the colour that hide takes from the reference's dye at a strength: hide at
// 0, reference at 1.
func dyed(hide, reference colour.LinearRGB, strength float64) colour.LinearRGB {
	sp := newSpace()
	return sp.rgb(newLine(sp.bands(hide), sp.bands(reference), Saunderson{}).at(strength))
}

// L* of a neutral dye at strengths: medium R .5 to .2, dark R .5 to .04;
// computed from Kubelka-Munk and CIELAB, outside this program.
func TestLightnessOfStrength(t *testing.T) {
	const rounding = .051 // one decimal
	for _, c := range []struct{ reference, strength, l float64 }{
		{.2, .25, 66.1}, {.2, .5, 59.9}, {.2, .8, 54.6}, {.2, .9, 53.2}, {.2, 1, 51.84}, {.2, 1.1, 50.6},
		{.2, 1.2, 49.5}, {.2, 1.5, 46.5}, {.2, 2, 42.6}, {.2, 4, 33.1},
		{.04, .5, 32.5}, {.04, .8, 26.4}, {.04, .9, 24.9}, {.04, 1, 23.67}, {.04, 1.1, 22.5}, {.04, 1.2, 21.5},
		{.04, 1.5, 19.0}, {.04, 2, 16.0}, {.04, 4, 9.6},
	} {
		got := dyed(grey(.5).RGB, grey(c.reference).RGB, c.strength)
		near(t, "L*", labOf(got).L, c.l, rounding)
	}
}

func TestStrengthRoundTrip(t *testing.T) {
	const float = 1e-6 // as a share: the working space and the bands are 1e-15 apart, K/S steep
	for name, reference := range dyeings() {
		for _, want := range []float64{.2, .5, .9, 1, 1.1, 1.6, 3} {
			piece := dyed(bareHide().RGB, reference.RGB, want)
			got, err := Relative(bareHide(), reference, Sample{RGB: piece}, DefaultOptions())
			if err != nil {
				t.Fatalf("%s at %g: %v", name, want, err)
			}
			near(t, name, got.Value/want, 1, float)
			near(t, name+" shade left", got.Shade.DE, 0, float)
			if got.Shade.Least < 0 || got.Shade.Least > .3 { // a step along the line
				t.Errorf("%s at %g: %g off its line", name, want, got.Shade.Least)
			}
			if got.ByLightness != (labOf(reference.RGB).L < darkL) {
				t.Errorf("%s: by lightness %v", name, got.ByLightness)
			}
			if !(got.Interval[0] < want && want < got.Interval[1]) {
				t.Errorf("%s at %g: interval %v", name, want, got.Interval)
			}
		}
	}
}

// A veil that lies alike over the photo is more of the reflectance where there is less
// light, and all of it is taken off.
func TestVeilInLessLight(t *testing.T) {
	o := DefaultOptions()
	o.Veil = .004
	veiled := func(s Sample, lit float64) Sample {
		v := o.Veil / lit
		return Sample{RGB: colour.LinearRGB{R: s.RGB.R + v, G: s.RGB.G + v, B: s.RGB.B + v}, Lit: lit}
	}
	for name, reference := range dyeings() {
		piece := Sample{RGB: dyed(bareHide().RGB, reference.RGB, 1.2)}
		got, err := Relative(veiled(bareHide(), 1), veiled(reference, 1.1), veiled(piece, .6), o)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		const float = 1e-6
		near(t, name, got.Value/1.2, 1, float)
	}
}

// Another dye is off the line at every strength, least at some other than the one that is
// told, and is no bare hide, however much the hide differs from place to place: by such a
// hide navy for brown, each at .6, has strength 0.02 ± 2.35.
func TestAnotherDye(t *testing.T) {
	o := DabOptions()
	o.Hide = unevenHide
	hide := bareHide()
	for _, c := range []struct {
		reference string
		of        float64 // what it is dyed to
		sample    string
		at, offBy float64 // at least
	}{{"brown", 1, "navy", 1, 10}, {"navy", 1, "brown", 1, 10}, {"brown", .6, "navy", .6, 10}, {"navy", 1, "brown", .1, 5}, {"black", 1.5, "brown", .1, 3}} {
		reference, sample := dyeings()[c.reference], dyeings()[c.sample]
		reference.RGB, sample.RGB = dyed(hide.RGB, reference.RGB, c.of), dyed(hide.RGB, sample.RGB, c.at)
		got, err := Relative(hide, reference, sample, o)
		if err != nil {
			t.Fatalf("%+v: %v", c, err)
		}
		if got.Shade.Least < c.offBy || got.Shade.Least > got.Shade.DE {
			t.Errorf("%+v: %.1f off the line, %.1f at strength %.2f", c, got.Shade.Least, got.Shade.DE, got.Value)
		}
	}
}

func TestShadeLeftAfterMatching(t *testing.T) {
	// Thinner and redder: the green band takes a tenth more light than the line.
	piece := dyed(bareHide().RGB, dyeings()["brown"].RGB, .8)
	piece.R *= 1.10
	got, err := Relative(bareHide(), dyeings()["brown"], Sample{RGB: piece}, DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	if s := got.Shade; s.DE < 1 || s.Words.Hue == "" || s.DH >= 0 {
		t.Errorf("ΔE00 %.2f in words %q", s.DE, s.Words)
	}
	want := colour.DeltaE2000(got.Shade.Predicted, got.Shade.Sample, colour.UnitWeights())
	near(t, "DE", got.Shade.DE, want, 0)
	near(t, "prediction in RGB", colour.DeltaE76(labOf(got.Shade.PredictedRGB), got.Shade.Predicted), 0, 1e-9)
}

// The scatter of strength over many photos is what its uncertainty says, for
// noise of the reading's own, correlated as blotch makes it, and for a source
// that all three share.
func TestScatterIsTheUncertainty(t *testing.T) {
	const (
		trials = 1500 // knows a standard deviation to 2 %
		within = .2   // first order in a bent law
		covers = .92  // of 95 %, on either side of 1
	)
	opt := DefaultOptions()
	opt.Model = false
	cov := colour.Matrix{{9e-6, 4e-6, 2e-6}, {4e-6, 6e-6, 2e-6}, {2e-6, 2e-6, 4e-6}}
	for name, reference := range dyeings() {
		for _, want := range []float64{.6, 1, 1.5} {
			truth := dyed(bareHide().RGB, reference.RGB, want)
			in := [3]Sample{bareHide(), reference, {RGB: truth}}
			for i := range in {
				scale := 1.0
				if name == "black" {
					scale = .02 // the same share of what little light there is
				}
				for r := range cov {
					for c := range cov {
						in[i].Cov[r][c] = scale * cov[r][c]
					}
				}
				in[i].Shared = []colour.LinearRGB{{R: .02 * in[i].RGB.R, G: .02 * in[i].RGB.G, B: .02 * in[i].RGB.B}}
			}
			opt.Floor = .0005
			claimed, err := Relative(in[0], in[1], in[2], opt)
			if err != nil {
				t.Fatal(err)
			}
			sum, square, held := scatter(t, in, want, opt, trials)
			sd := math.Sqrt(square/trials - sum*sum/trials/trials)
			t.Logf("%s at %g: scatter %.4f, claimed %.4f, held %.3f", name, want, sd, claimed.Readings, held)
			near(t, name, claimed.Readings/sd, 1, within)
			if held < covers {
				t.Errorf("%s at %g: the interval held the truth in %.3f", name, want, held)
			}
		}
	}
}

func scatter(t *testing.T, in [3]Sample, want float64, opt Options, trials int) (sum, square, held float64) {
	t.Helper()
	r := rand.New(rand.NewPCG(5, 5))
	sp := newSpace()
	for range trials {
		noisy, shared := in, r.NormFloat64()
		for i := range noisy {
			noisy[i].RGB = drawn(r, sp, in[i], opt.Floor, shared)
		}
		got, err := Relative(noisy[0], noisy[1], noisy[2], opt)
		if err != nil {
			t.Fatal(err)
		}
		sum += got.Value
		square += got.Value * got.Value
		if got.Interval[0] <= want && want <= got.Interval[1] {
			held += 1 / float64(trials)
		}
	}
	return sum, square, held
}

// drawn returns the sample's colour with its noise, its shared shift and the
// floor in each band.
func drawn(r *rand.Rand, sp space, s Sample, floor, shared float64) colour.LinearRGB {
	n := s.Cov.Root().Apply([3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()})
	sh := s.Shared[0]
	b := sp.bands(colour.LinearRGB{R: s.RGB.R + n[0] + shared*sh.R, G: s.RGB.G + n[1] + shared*sh.G, B: s.RGB.B + n[2] + shared*sh.B})
	for i := range b {
		b[i] += floor * r.NormFloat64()
	}
	return sp.rgb(b)
}

// Along the dye's own line, and off it: a sample darker in every band is never
// weaker.
func TestDarkerIsNeverWeaker(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		reference := dyeings()[rapid.SampledFrom([]string{"brown", "navy", "black"}).Draw(rt, "dye")]
		band := func(name string) float64 { return rapid.Float64Range(.01, .15).Draw(rt, name) }
		sp := newSpace()
		pale := bands{band("r"), band("g"), band("b")}
		dark := pale
		for i := range dark {
			dark[i] *= rapid.Float64Range(.3, 1).Draw(rt, "share")
		}
		one, err1 := Relative(bareHide(), reference, Sample{RGB: sp.rgb(pale)}, DefaultOptions())
		two, err2 := Relative(bareHide(), reference, Sample{RGB: sp.rgb(dark)}, DefaultOptions())
		if err1 != nil || err2 != nil {
			rt.Skip("refused")
		}
		const rounding = 1e-9
		if two.Value < one.Value-rounding {
			rt.Fatalf("%v is %.6f, %v is %.6f", pale, one.Value, dark, two.Value)
		}
		for _, s := range []Strength{one, two} {
			if !(s.Interval[0] >= 0 && s.Interval[0] <= s.Value && s.Value <= s.Interval[1] && s.U > 0) {
				rt.Fatalf("%+v", s)
			}
		}
	})
}

// The scale must be absolute: a photo developed 10 % too bright overall does not
// give the same strength, and the package comment says so.
func TestLightDoesNotCancel(t *testing.T) {
	piece := dyed(bareHide().RGB, dyeings()["brown"].RGB, 1.4)
	scaled := func(c colour.LinearRGB) Sample { return sampleOf(1.1*c.R, 1.1*c.G, 1.1*c.B) }
	got, err := Relative(scaled(bareHide().RGB), scaled(dyeings()["brown"].RGB), scaled(piece), DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Value-1.4) < .001 {
		t.Errorf("strength %.5f of a brighter photo; the comment says that it differs", got.Value)
	}
}

func TestNonsenseIsRefused(t *testing.T) {
	brown, nan := dyeings()["brown"], math.NaN()
	wild := brown
	wild.Cov[1][1] = -1
	dark := grey(.004) // where a little light is much strength
	dark.Cov = colour.Diagonal(1e-4, 1e-4, 1e-4)
	for name, c := range map[string]struct {
		hide, reference, sample Sample
		want                    error
	}{
		"reference lighter":   {bareHide(), grey(.7), brown, ErrReference},
		"reference is hide":   {bareHide(), bareHide(), brown, ErrReference},
		"reference near hide": {bareHide(), sampleOf(.599, .359, .1695), brown, ErrReference},
		"sample is hide":      {bareHide(), brown, bareHide(), ErrBare},
		"sample lighter":      {bareHide(), brown, grey(.7), ErrBare},
		"sample near hide":    {bareHide(), brown, sampleOf(.599, .359, .1695), ErrBare},
		"black is hide":       {bareHide(), dyeings()["black"], bareHide(), ErrBare},
		"black beyond":        {bareHide(), dyeings()["black"], grey(1e-5), ErrTooDark},
		"black and unsure":    {bareHide(), dyeings()["black"], dark, ErrTooDark},
		"zero":                {bareHide(), brown, grey(0), ErrReflectance},
		"negative":            {bareHide(), brown, grey(-.1), ErrReflectance},
		"over white":          {grey(1.2), brown, brown, ErrReflectance},
		"NaN":                 {bareHide(), sampleOf(.1, nan, .1), brown, ErrReflectance},
		"Inf":                 {bareHide(), brown, grey(math.Inf(1)), ErrReflectance},
		"negative variance":   {bareHide(), brown, wild, ErrReflectance},
	} {
		if got, err := Relative(c.hide, c.reference, c.sample, DefaultOptions()); !errors.Is(err, c.want) {
			t.Errorf("%s: %+v, error %v, want %v", name, got.Value, err, c.want)
		}
	}
	for _, bad := range []Options{{Floor: -1}, {Floor: nan}, {Surface: Saunderson{K1: .6, K2: .6}}} {
		if _, err := Relative(bareHide(), brown, brown, bad); err == nil {
			t.Errorf("%+v accepted", bad)
		}
	}
}

// A vivid yellow has a blue channel below 0 in the working space, and is a real
// colour all the same: L* 75, a* 5, b* 80.
func TestOutsideTheWorkingSpace(t *testing.T) {
	yellow := FromLab(colour.Lab{L: 75, A: 5, B: 80}, colour.Diagonal(.04, .04, .04), []colour.Lab{{L: .1}})
	if yellow.RGB.B >= 0 {
		t.Fatalf("linear blue %g", yellow.RGB.B)
	}
	hide := FromLab(colour.Lab{L: 85, A: 2, B: 14}, colour.Diagonal(.04, .04, .04), []colour.Lab{{L: .1}})
	got, err := Relative(hide, yellow, yellow, DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "strength", got.Value, 1, 1e-9)
}

func TestSurfaceCorrection(t *testing.T) {
	opt := DefaultOptions()
	opt.Surface = Saunderson{.04, .6}
	outside := func(internal float64) Sample { return grey(opt.Surface.Measured(internal)) }
	got, err := Relative(outside(.5), outside(.20), outside(.18), opt)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "strength", got.Value, (KS(.18)-KS(.5))/(KS(.20)-KS(.5)), 1e-9)
}

func TestStanding(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		want   Standing
	}{{.5, .8, Weaker}, {.85, .95, CannotTell}, {.95, 1.05, AsStrong}, {1.05, 1.2, CannotTell}, {1.15, 1.3, Stronger}, {.5, 2, CannotTell}} {
		if got := (Strength{Interval: [2]float64{c.lo, c.hi}}).Standing(.1); got != c.want {
			t.Errorf("%g to %g is %s, want %s", c.lo, c.hi, got, c.want)
		}
	}
}

func TestSlopeIsTheDerivative(t *testing.T) {
	for _, surface := range []Saunderson{{}, {.04, .6}, {0, .5}} {
		p := problem{opt: Options{Surface: surface}}
		for _, r := range []float64{.06, .2, .7} {
			const h = 1e-6
			numeric := (KS(surface.Internal(r+h)) - KS(surface.Internal(r-h))) / (2 * h)
			near(t, "slope", p.slope(r)/numeric, 1, 1e-6)
		}
	}
}
