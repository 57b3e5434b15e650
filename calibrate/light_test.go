package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenhide/colour"
)

// exact is what a surface without noise must come back to, in log light: 0.1 %.
const exact = 0.001

// worstOf returns the largest error of the light relative to the reference, in
// log light, over the field.
func worstOf(l *Light, truth func(x, y float64) [3]float64, w, h int) float64 {
	worst := 0.0
	ref := truth(l.reference.X, l.reference.Y)
	for y := 0.0; y <= float64(h); y += float64(h) / 8 {
		for x := 0.0; x <= float64(w); x += float64(w) / 8 {
			got, want := l.At(x, y), truth(x, y)
			for k, g := range [3]float64{got.R, got.G, got.B} {
				worst = max(worst, math.Abs(math.Log(g)-math.Log(want[k]/ref[k])))
			}
		}
	}
	return worst
}

func TestLightComesBackExactly(t *testing.T) {
	curve := func(v float64) float64 { return math.Pow(v, .8) * .9 }
	undo := func(c colour.LinearRGB) colour.LinearRGB {
		f := func(v float64) float64 { return math.Pow(v/.9, 1/.8) }
		return colour.LinearRGB{R: f(c.R), G: f(c.G), B: f(c.B)}
	}
	lens := func(x, y float64) [3]float64 {
		l := lamp(800, 600)(x, y)
		r2 := ((x-400)*(x-400) + (y-300)*(y-300)) / 400 / 400
		for k := range l {
			l[k] *= math.Exp(-.1 * r2 * r2)
		}
		return l
	}
	plainSheet := func(_, _ float64) colour.LinearRGB { return colour.LinearRGB{R: .85, G: .86, B: .8} }
	for _, c := range []struct {
		name    string
		b       bench
		develop func(colour.LinearRGB) colour.LinearRGB
		most    float64
	}{
		{"second order", bench{light: lamp(800, 600), tone: plain, at: plainSheet}, asIs, exact},
		{"under a tone curve", bench{light: lamp(800, 600), tone: curve, at: plainSheet}, undo, exact},
		{"with the lens's falloff", bench{light: lens, tone: plain, at: plainSheet}, asIs, 3 * exact}, // its term is damped
		{"even", bench{light: evenly, tone: plain, at: plainSheet}, asIs, exact},
		{"half covered by leather on wood", bench{light: lamp(800, 600), tone: plain, at: func(x, y float64) colour.LinearRGB {
			switch {
			case !rectangle(x, y, 60, 50, 760, 570):
				return wood(x, y)
			case rectangle(x, y, 150, 120, 640, 480):
				return colour.LinearRGB{R: .1, G: .05, B: .03}
			}
			return plainSheet(x, y)
		}}, asIs, exact},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.b.w, c.b.h = 800, 600
			s, err := FindSheet(c.b.field(), c.develop, nil)
			if err != nil {
				t.Fatal(err)
			}
			worst := worstOf(s.Light, c.b.light, 800, 600)
			t.Logf("worst %.5f of log light, uneven %.3f", worst, s.Light.Uneven())
			if worst > c.most {
				t.Errorf("the light is off by %.4f, want at most %.4f", worst, c.most)
			}
		})
	}
}

func TestLightIsRelativeToItsReference(t *testing.T) {
	b := bench{w: 800, h: 600, light: lamp(800, 600), tone: plain, at: func(_, _ float64) colour.LinearRGB { return grey(.8) }}
	s, err := FindSheet(b.field(), asIs, nil)
	if err != nil {
		t.Fatal(err)
	}
	l := s.Light.RelativeTo(100, 500)
	if got := l.At(100, 500); got != (colour.LinearRGB{R: 1, G: 1, B: 1}) {
		t.Errorf("at its reference the light is %v", got)
	}
	// Corner to corner, worked out from lamp's own factors in green.
	least, most := math.Inf(1), 0.0
	for y := 0.0; y < 600; y += 10 {
		for x := 0.0; x < 800; x += 10 {
			v := b.light(x, y)
			lum := .2126*v[0] + .7152*v[1] + .0722*v[2]
			least, most = min(least, lum), max(most, lum)
		}
	}
	if got, want := s.Light.Uneven(), most/least-1; math.Abs(got-want) > .02 { // the sheet's rim is left out
		t.Errorf("uneven %.3f, want %.3f", got, want)
	}
	if level, tint := l.Relative(100, 500, 100, 500); level != 0 || tint != 0 {
		t.Errorf("against itself a place is uncertain by %g, %g", level, tint)
	}
}

func TestNilLightIsEven(t *testing.T) {
	var l *Light
	level, tint := l.Relative(0, 0, 50, 50)
	if l.At(7, 9) != (colour.LinearRGB{R: 1, G: 1, B: 1}) || l.Uneven() != 0 || l.RelativeTo(3, 4) != nil || level != 0 || tint != 0 {
		t.Error("a nil light is not even")
	}
}

// What Relative says must be about what the light is really off by, when the
// sheet is wavy in a way that no surface follows.
func TestRelativeMatchesRealErrors(t *testing.T) {
	const trials = 12
	r := rand.New(rand.NewPCG(2, 9))
	real, said := 0.0, 0.0
	for range trials {
		px, py, qx, qy := r.Float64()*6, r.Float64()*6, 60+60*r.Float64(), 60+60*r.Float64()
		wave := func(x, y float64) float64 { return .015 * (math.Sin(x/qx+px) + math.Sin(y/qy+py)) }
		light := func(x, y float64) [3]float64 {
			l := lamp(800, 600)(x, y)
			for k := range l {
				l[k] *= math.Exp(wave(x, y))
			}
			return l
		}
		b := bench{w: 800, h: 600, light: light, tone: plain, at: func(_, _ float64) colour.LinearRGB { return grey(.8) }}
		s, err := FindSheet(b.field(), asIs, nil)
		if err != nil {
			t.Fatal(err)
		}
		for range 20 {
			x0, y0, x1, y1 := r.Float64()*800, r.Float64()*600, r.Float64()*800, r.Float64()*600
			got := math.Log(s.Light.RelativeTo(x0, y0).At(x1, y1).G)
			want := math.Log(light(x1, y1)[1] / light(x0, y0)[1])
			level, _ := s.Light.Relative(x0, y0, x1, y1)
			real += (got - want) * (got - want)
			said += level * level
		}
	}
	real, said = math.Sqrt(real/trials/20), math.Sqrt(said/trials/20)
	t.Logf("real %.4f, said %.4f of log light", real, said)
	if said < .8*real || said > 1.6*real { // blocks as large as a wave average some of it away
		t.Errorf("said %.4f, the light is really off by %.4f", said, real)
	}
}

func TestFitInTakesTheLightOff(t *testing.T) {
	// The steps along the lamp's slope; a patch of known reflectance far from them.
	b := bench{w: 800, h: 600, light: lamp(800, 600), tone: func(v float64) float64 { return .9 * math.Pow(v, .85) }}
	ls := []float64{92, 80, 66, 51, 36, 24}
	patch := colour.LinearRGB{R: .3, G: .2, B: .15}
	b.at = func(x, y float64) colour.LinearRGB {
		if i := int((x - 60) / 110); x >= 60 && i < len(ls) && rectangle(x, y, 0, 40, 800, 120) && math.Mod(x-60, 110) < 100 {
			return grey(colour.Luminance(ls[i]))
		}
		if rectangle(x, y, 600, 450, 740, 560) {
			return patch
		}
		return grey(.82)
	}
	f := b.field()
	var steps []Step
	for i, l := range ls {
		s := Step{L: l}
		s.Rect.Min.X, s.Rect.Min.Y, s.Rect.Max.X, s.Rect.Max.Y = 70+110*i, 50, 150+110*i, 110
		steps = append(steps, s)
	}
	error := func(c *Calibration) float64 {
		p := f.At(670, 505)
		return colour.DeltaE2000(lab(c.DevelopAt(670.5, 505.5, p)), lab(patch), colour.UnitWeights())
	}
	cal, err := Fit(f, steps)
	if err != nil {
		t.Fatal(err)
	}
	without := error(cal)
	for range 2 {
		s, err := FindSheet(f, cal.Develop, nil)
		if err != nil {
			t.Fatal(err)
		}
		if cal, err = cal.In(s.Light); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("ΔE00 of a patch %.2f without, %.2f with the light taken off; steps off by %.2f L*", without, error(cal), cal.LeftOut)
	const most = .3 // two rounds of curve and light, each from the other
	if with := error(cal); with > most || with > without/4 {
		t.Errorf("a patch is off by %.2f ΔE00 with the light taken off, %.2f without", with, without)
	}
}

// Worked by hand: places far apart have each its own misfit, of variance m, so that one is
// known against another to 2 m, against the mean of two others to 1.5 m; and three times
// the same place is that place.
func TestLightAgainstTheMeanOfPlaces(t *testing.T) {
	const rounding = 1e-12
	l := &Light{misfit: .01, tint: .004, reach: 1, scale: 1000}
	for name, c := range map[string]struct {
		from []From
		want float64 // of the variance
	}{
		"one":             {[]From{{0, 0, 1}}, 2},
		"two":             {[]From{{0, 0, .5}, {500, 0, .5}}, 1.5},
		"unlike":          {[]From{{0, 0, .8}, {500, 0, .2}}, 1 + .64 + .04},
		"thrice the same": {[]From{{0, 0, .5}, {0, 0, .25}, {0, 0, .25}}, 2},
		"in part its own": {[]From{{0, 0, .5}, {0, 900, .5}}, .5},
	} {
		level, tint := l.relativeToMean(c.from, 0, 900)
		if want := l.misfit * math.Sqrt(c.want); math.Abs(level-want) > rounding || math.Abs(tint-want*.4) > rounding {
			t.Errorf("%s: %g, %g; want %g and .4 of it", name, level, tint, want)
		}
	}
}
