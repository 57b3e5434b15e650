package surface

import (
	"math"
	"testing"

	"evenhide/colour"
)

// The promised covariance of the mean must be what the mean really does, on
// surfaces whose blotches span many tiles. With a factor of 1.25 on the
// standard deviation k = 2 still covers 89 % at worst; 200 seeds know it to 5 %.
func TestCovarianceOfBlotchyMean(t *testing.T) {
	const seeds, factor = 200, 1.25
	for _, c := range []struct {
		w, h   int
		blotch float64
	}{{30, 30, 0}, {30, 30, 1}, {40, 40, 1.5}, {40, 40, 2.5}, {24, 60, 2}} {
		var sum, square, promised float64
		for seed := range seeds {
			rd := measured(t, tiled(c.w, blurred(c.w, c.h, c.blotch, uint64(seed))), Options{MinTiles: c.w * c.h})
			sum, square = sum+rd.Lab.L/seeds, square+(rd.Lab.L-45)*(rd.Lab.L-45)/seeds
			promised += rd.Cov[0][0] / seeds
		}
		real := math.Sqrt(square - (sum-45)*(sum-45))
		ratio := math.Sqrt(promised) / real
		t.Logf("%d×%d tiles, blotch %v: mean moves by %.4f, promised %.4f (%.2f)", c.w, c.h, c.blotch, real, math.Sqrt(promised), ratio)
		if ratio > factor || ratio < 1/factor {
			t.Errorf("%d×%d tiles, blotch %v: promised %.2f of what the mean moves", c.w, c.h, c.blotch, ratio)
		}
	}
}

// Light stitches over 4 % of a piece do not move its reading.
func TestStitchesDoNotMoveTheMean(t *testing.T) {
	base := blurred(40, 30, 1, 21)
	paintTiles := func(stitch bool) *colour.Field {
		return paint(320, 240, func(x, y int) colour.LinearRGB {
			tx, ty := x/8, y/8
			if stitch && (ty == 3 || ty == 26) && tx%5 < 3 { // 48 of 1200 tiles
				return scaled(brown(), 3) // tan thread: of the leather's hue, and so no glare
			}
			return scaled(brown(), math.Exp(0.03*base[ty*40+tx]))
		})
	}
	plain, stitched := measured(t, paintTiles(false), eight()), measured(t, paintTiles(true), eight())
	near(t, "glare", stitched.GlarePercent, 0, 0)
	// Cutting 5 % above when 4 % are stitches leaves out 1 % of leather there and
	// 5 % below: a shift of about 0.08 σ, and σ is 0.03·57/3 = 0.6 L*.
	near(t, "L*", stitched.Lab.L, plain.Lab.L, 0.1*0.6)
	near(t, "plain L*", plain.Lab.L, toLab(brown()).L, 4*math.Sqrt(plain.Cov[0][0]))
}

// A fifth of a piece that is 3 L* lighter counts nearly as a fifth.
func TestBlotchCountsInTheMean(t *testing.T) {
	f := paint(320, 240, func(x, y int) colour.LinearRGB {
		if x < 64 {
			return grey(43)
		}
		return grey(40)
	})
	rd := measured(t, f, eight())
	near(t, "L*", rd.Lab.L, 40.6, 0.15) // 0.1 for trimming, 0.03 for averaging light
}

// Mean, X and Y developed again give Lab again: exactly when Develop is linear
// in colour and place, as a gain that rises evenly is.
func TestMeanCanBeDevelopedAgain(t *testing.T) {
	dev := func(x, y float64, c colour.LinearRGB) colour.LinearRGB {
		return colour.LinearRGB{R: c.R * 1.3, G: c.G, B: c.B * 1.8}
	}
	f := leather(300, 200, brown(), 22)
	rd, err := Measure(f, all(f), dev, eight())
	if err != nil {
		t.Fatal(err)
	}
	again := toLab(dev(rd.X, rd.Y, rd.Mean))
	near(t, "L*", again.L, rd.Lab.L, 1e-9)
	near(t, "a*", again.A, rd.Lab.A, 1e-9)
	near(t, "b*", again.B, rd.Lab.B, 1e-9)
}

// Light that falls off is undone where the tiles lie.
func TestDevelopIsAppliedInPlace(t *testing.T) {
	light := func(x, y float64) float64 { return math.Exp(0.002*x - 0.001*y) }
	f := paint(320, 240, func(x, y int) colour.LinearRGB {
		return scaled(brown(), light(float64(x)+0.5, float64(y)+0.5))
	})
	dev := func(x, y float64, c colour.LinearRGB) colour.LinearRGB { return scaled(c, 1/light(x, y)) }
	rd, err := Measure(f, all(f), dev, eight())
	if err != nil {
		t.Fatal(err)
	}
	// A tile's mean of an exponential is off by (0.002·8)²/24 of it.
	near(t, "L*", rd.Lab.L, toLab(brown()).L, 1e-3)
	near(t, "slope", rd.SlopeL, 0, 1e-3)
	near(t, "blotch", rd.Blotch.RMS, 0, 1e-3)
}

func TestPatches(t *testing.T) {
	f := paint(320, 240, func(x, y int) colour.LinearRGB { return grey(30 + float64(x/40)) })
	rd := measured(t, f, eight())
	tiles, cells := 0, 0
	for _, p := range rd.Patches {
		tiles += p.Tiles
		cells += p.Rect.Dx() * p.Rect.Dy()
		near(t, "L*", p.Lab.L, 30+float64(p.Rect.Min.X/40), rounding)
	}
	if len(rd.Patches) != 8*6 || tiles != 1200 || cells != 320*240 {
		t.Errorf("%d patches of %d tiles on %d cells; want 48, 1200, 76800", len(rd.Patches), tiles, cells)
	}
}

func TestLuminanceIsTheWorkingSpaces(t *testing.T) {
	row := colour.WorkingSpace().ToXYZ[1]
	for i, c := range []colour.LinearRGB{{R: 1}, {G: 1}, {B: 1}} {
		near(t, "luminosity", luminosity(c), row[i], 5e-7) // six decimals
		near(t, "luminance", float64(luminance(float32(c.R), float32(c.G), float32(c.B))), row[i], 5e-7)
	}
}
