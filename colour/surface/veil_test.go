package surface

import (
	"math"
	"testing"

	"evenhide/colour"
)

func TestVeil(t *testing.T) {
	// A wide shine of white light from the middle outwards; at its rim a tenth is
	// left. Against brown of 0.12 it is of any strength a flash has.
	veil := func(strength float64) *colour.Field {
		f := patchy(1, 0.05, plain)
		for i := range f.Clipped {
			r := math.Hypot(float64(i%480-240)/300, float64(i/480-160)/300)
			for c := range 3 {
				f.RGB[3*i+c] += float32(strength * math.Exp(-2.3*r*r))
			}
		}
		return f
	}
	for _, strength := range []float64{0.2, 0.4, 0.8} {
		if rd := measured(t, veil(strength), eight()); !rd.Veiled && rd.GlarePercent < 25 {
			t.Errorf("shine of %v: glare %.0f%%, luminance varies by %.2f, not veiled", strength, rd.GlarePercent, rd.LuminanceCV)
		}
	}
	// Brown that took dye very unevenly varies as much, in its own colour.
	l := blurred(60, 40, 3, 2)
	uneven := paint(480, 320, func(x, y int) colour.LinearRGB {
		k := math.Exp(0.4 * l[y/8*60+x/8])
		c := brown()
		return colour.LinearRGB{R: c.R * k, G: c.G * math.Pow(k, 1.2), B: c.B * math.Pow(k, 1.4)}
	})
	rd := measured(t, uneven, eight())
	if rd.LuminanceCV < veilLeast {
		t.Fatalf("luminance varies by %.2f: tests nothing", rd.LuminanceCV)
	}
	if rd.Veiled {
		t.Error("uneven dye is called veiled")
	}
}
