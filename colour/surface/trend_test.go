package surface

import (
	"math"
	"testing"

	"evenhide/colour"
)

// bent bounds what a plane leaves of a ramp: L* bends over a tile of 8 cells,
// because a tile is a mean of light.
const bent = 0.01

func TestRampIsSlope(t *testing.T) {
	for _, deg := range []float64{0, 45, 90, 180, 300} {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		reach := 320*math.Abs(cos) + 240*math.Abs(sin)
		f := paint(320, 240, func(x, y int) colour.LinearRGB {
			along := (float64(x)+0.5-160)*cos - (float64(y)+0.5-120)*sin
			return grey(50 + 10*along/reach)
		})
		rd := measured(t, f, eight())
		near(t, "slope", rd.SlopeL, 10, bent)
		near(t, "direction", math.Abs(math.Mod(rd.SlopeDeg-deg+540, 360)-180), 0, 0.1)
		near(t, "blotch", rd.Blotch.RMS, 0, bent)
		if rd.Streaky {
			t.Errorf("a ramp at %v° is called streaky: %.3f over %.3f", deg, rd.StreakCoherence, rd.StreakLimit)
		}
	}
}

// A few light stitches along one side must not read as slope.
func TestSlopeIgnoresStitches(t *testing.T) {
	r := source(5)
	f := paint(320, 240, func(x, y int) colour.LinearRGB {
		l := 40 + 0.5*r.NormFloat64()
		if x < 8 {
			l = 50 // not bright enough for glare
		}
		return grey(l)
	})
	// One column of 40, 10 L* lighter: least squares would tilt the plane by
	// 6·10·(1/40) = 1.5 L*. Huber's weights hold each such tile to 1.345 σ.
	near(t, "slope", measured(t, f, eight()).SlopeL, 0, 0.1)
}

// Light that falls off in proportion leaves a bow in L*, which is not a streak
// and hardly a blotch.
func TestFallingLightIsNoStreak(t *testing.T) {
	r := source(6)
	f := paint(320, 240, func(x, y int) colour.LinearRGB {
		return scaled(brown(), (0.8+0.4*float64(x)/320)*math.Exp(0.05*r.NormFloat64()))
	})
	rd := measured(t, f, eight())
	if rd.Streaky {
		t.Errorf("falling light is called streaky: %.3f over %.3f", rd.StreakCoherence, rd.StreakLimit)
	}
	// The bow is 57·0.2²/9 = 0.25 L* deep; its root mean square is 0.298 of that.
	near(t, "blotch", rd.Blotch.RMS, 0, 0.25*0.298*1.1)
}
