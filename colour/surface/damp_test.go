package surface

import (
	"math"
	"testing"

	"evenhide/colour"
)

// dampLeather is brown leather of 40×30 tiles of 8 cells, with a little grain, and a
// round patch of radius tiles times k as light, which fades over fade tiles. A spot
// beside its middle shines when lit.
func dampLeather(radius, fade, k float64, lit bool) *colour.Field {
	r := source(61)
	return paint(320, 240, func(x, y int) colour.LinearRGB {
		away := math.Hypot(float64(x)-160, float64(y)-120) / 8
		in := 1 / (1 + math.Exp((away-radius)/max(fade/4, .05)))
		c := scaled(brown(), math.Exp(math.Log(k)*in+.05*r.NormFloat64()))
		if shine := .5 * math.Exp(-math.Pow(math.Hypot(float64(x)-170, float64(y)-115)/8, 2)); lit && shine > .002 {
			c = colour.LinearRGB{R: c.R + shine, G: c.G + shine, B: c.B + shine}
		}
		return c
	})
}

func TestDamp(t *testing.T) {
	// (L*+16)³ goes with the light: from L* 40, 56·(1 - ∛0.65) = 7.5 darker.
	const dark, darkL = .65, 7.5
	for _, c := range []struct {
		name         string
		radius, fade float64
		k            float64
		lit, damp    bool
	}{
		{"damp", 6, 1, dark, true, true},
		{"damp, soft rim", 6, 2, dark, true, true},
		{"without shine", 6, 1, dark, false, false},
		{"shine alone", 6, 1, 1, true, false},
		{"hardly darker", 6, 1, .85, true, false},
		{"much darker", 6, 1, .3, true, false},
		{"a speck", 2, .5, dark, true, false},
		{"fading out", 6, 12, dark, true, false},
	} {
		rd := measured(t, dampLeather(c.radius, c.fade, c.k, c.lit), eight())
		t.Logf("%s: %+v, glare %.2f %%", c.name, rd.Damp, rd.GlarePercent)
		if (rd.Damp.Percent > 0) != c.damp {
			t.Errorf("%s: %+v, wanted damp %v", c.name, rd.Damp, c.damp)
		}
		if c.damp {
			near(t, c.name+": darker by", rd.Damp.L, darkL, 1)
			near(t, c.name+": percent", rd.Damp.Percent, 100*math.Pi*c.radius*c.radius/1200, 3)
		}
	}
}

// A patch of another hue, as dark, is another dye.
func TestDampIsOfTheSameHue(t *testing.T) {
	f := dampLeather(6, 1, .65, true)
	for y := range f.H {
		for x := range f.W {
			if p := f.RGB[3*(y*f.W+x):]; math.Hypot(float64(x)-160, float64(y)-120) < 48 && math.Hypot(float64(x)-170, float64(y)-115) > 24 {
				copy(p, []float32{.6 * p[0], 1.15 * p[1], 1.4 * p[2]})
			}
		}
	}
	if rd := measured(t, f, eight()); rd.Damp.Percent > 0 {
		t.Errorf("a green patch: %+v", rd.Damp)
	}
}

// dampFalse is the share of blotchy surfaces that may be warned of though they are dry.
const dampFalse = 0.05

// Blotches of dye that shine, of 3 L* and of several sizes, are as dark as damp ones
// in places, but fade out.
func TestBlotchesAreNotDamp(t *testing.T) {
	n, seeds := 0, 0
	for _, size := range []float64{1, 1.5, 2.5, 4} { // tiles, standard deviation of the blur
		for seed := range uint64(25) {
			blotch, r := blurred(40, 30, size, 500+seed), source(seed)
			f := paint(320, 240, func(x, y int) colour.LinearRGB {
				return scaled(brown(), math.Exp(3*3.0/56*blotch[y/8*40+x/8]+.05*r.NormFloat64()))
			})
			shine(f, colour.LinearRGB{R: 1, G: 1, B: 1}, 4, seed)
			if rd := measured(t, f, eight()); rd.Damp.Percent > 0 {
				n++
			}
			seeds++
		}
	}
	t.Logf("%d of %d warned of", n, seeds)
	if float64(n) > dampFalse*float64(seeds) {
		t.Errorf("%d of %d blotchy surfaces look damp, wanted at most %.0f %%", n, seeds, 100*dampFalse)
	}
}
