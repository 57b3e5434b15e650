package surface

import (
	"math"
	"testing"

	"evenhide/colour"
)

// The known answers of this file are derived by hand from the definitions of
// ISO/IEC 13660:2001 (from memory): mottle is the standard deviation of tile
// means, graininess the root mean square of the standard deviations within tiles.

// sampling returns four standard errors of a standard deviation known from n
// values, as a share of it: a test with that tolerance fails once in 16 000 seeds.
func sampling(n int) float64 { return 4 / math.Sqrt(2*float64(n)) }

func TestTileOffsetsAreMottle(t *testing.T) {
	r := source(1)
	var offsets [40 * 30]float64
	mean, square := 0.0, 0.0
	for i := range offsets {
		offsets[i] = r.NormFloat64()
		mean += offsets[i] / float64(len(offsets))
	}
	for _, o := range offsets {
		square += (o - mean) * (o - mean) / float64(len(offsets)-1)
	}
	f := paint(320, 240, func(x, y int) colour.LinearRGB { return grey(50 + offsets[y/8*40+x/8]) })
	rd := measured(t, f, eight())
	near(t, "graininess", rd.GraininessL, 0, 1e-3) // √ of what cancels in 24-bit numbers
	near(t, "mottle", rd.MottleL, math.Sqrt(square), rounding)
	near(t, "grain of blotch", rd.Blotch.Grain, 0, 1e-3)
	// At L* 50 S_L is 1.00, so that ΔE00 is ΔL*; the plane takes off what little
	// trend the offsets have, three parts in 1200.
	near(t, "blotch", rd.Blotch.RMS, math.Sqrt(square), 0.01)
	// 1.960 σ; four standard errors of a quantile of 1200 values are 0.19 σ.
	near(t, "95th percentile", rd.Blotch.P95, 1.960*math.Sqrt(square), 0.19)
}

func TestWhiteNoiseIsGrain(t *testing.T) {
	const sigma = 1.0
	r := source(2)
	f := paint(320, 240, func(x, y int) colour.LinearRGB { return grey(50 + sigma*r.NormFloat64()) })
	rd := measured(t, f, eight())
	near(t, "graininess", rd.GraininessL, sigma, sampling(320*240))
	near(t, "mottle", rd.MottleL, sigma/8, sigma/8*sampling(rd.Tiles))
	near(t, "grain of blotch", rd.Blotch.Grain, sigma/8, sigma/8*sampling(3*rd.Tiles))
	// What is left of two equal squares is the root of their sampling error.
	left := sigma / 8 * math.Sqrt(2*sampling(rd.Tiles))
	near(t, "blotch", rd.Blotch.RMS, 0, left)
	if rd.Streaky {
		t.Error("noise is called streaky")
	}
}

func TestGrainWithinCells(t *testing.T) {
	f := paint(320, 240, func(x, y int) colour.LinearRGB { return grey(50) })
	y := colour.Luminance(50)
	for i := range f.Grain {
		f.Grain[i] = float32(0.04 * 0.04 * y * y) // 4 % of the luminance
	}
	rd := measured(t, f, eight())
	near(t, "graininess", rd.GraininessL, 66.0/3*0.04, 1e-4) // 24-bit numbers, squared
	near(t, "mottle", rd.MottleL, 0, rounding)
}

// A curve with a log-log slope of 2 doubles relative grain.
func TestGrainFollowsTheToneCurve(t *testing.T) {
	f := paint(320, 240, func(x, y int) colour.LinearRGB { return grey(75) })
	y := colour.Luminance(75)
	for i := range f.Grain {
		f.Grain[i] = float32(0.02 * 0.02 * y * y)
	}
	square := func(_, _ float64, c colour.LinearRGB) colour.LinearRGB {
		return colour.LinearRGB{R: c.R * c.R, G: c.G * c.G, B: c.B * c.B}
	}
	rd, err := Measure(f, all(f), square, eight())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "graininess", rd.GraininessL, (rd.Lab.L+16)/3*2*0.02, 1e-4)
}

// A wave of ten tiles loses sinc(0.1) = 0.9836 of its height in tiles.
func TestSineIsMottle(t *testing.T) {
	const height = 1.0
	f := paint(320, 240, func(x, y int) colour.LinearRGB {
		return grey(50 + height*math.Sin(2*math.Pi*(float64(x)+0.5)/80))
	})
	rd := measured(t, f, eight())
	// 0.1 %: 1200 against 1199 tiles, and the bend of L* over the wave.
	near(t, "mottle", rd.MottleL, 0.9836*height/math.Sqrt2, 1e-3)
}

// The identity σ_L* = (L*+16)/3 · CV_Y ties mottle to the relative unevenness
// index, which is built on the variation of reflectance.
func TestLuminanceVariation(t *testing.T) {
	for _, l := range []float64{25, 40, 50, 70} {
		r := source(uint64(l))
		f := paint(320, 240, func(x, y int) colour.LinearRGB { return colour.LinearRGB{} })
		for ty := range 30 {
			for tx := range 40 {
				c := scaled(grey(l), 1+0.02*r.NormFloat64())
				for k := range 64 {
					at := 3 * ((ty*8+k/8)*320 + tx*8 + k%8)
					copy(f.RGB[at:], []float32{float32(c.R), float32(c.G), float32(c.B)})
				}
			}
		}
		rd := measured(t, f, eight())
		near(t, "CV", rd.LuminanceCV, 0.02, 0.02*sampling(rd.Tiles))
		// The identity is a first derivative; at a CV of 2 % the bend of L* is
		// worth 0.1 % of it.
		want := (rd.Lab.L + 16) / 3 * rd.LuminanceCV
		near(t, "mottle", rd.MottleL, want, 2e-3*want)
	}
}

// Blotch of colour alone shows too, and grain under it is taken off in quadrature.
func TestBlotchUnderGrain(t *testing.T) {
	r := source(3)
	shade := make([]float64, 40*30)
	for i := range shade {
		shade[i] = 0.03 * r.NormFloat64()
	}
	grain := source(4)
	plain := paint(320, 240, func(x, y int) colour.LinearRGB { return scaled(brown(), 1+shade[y/8*40+x/8]) })
	grainy := paint(320, 240, func(x, y int) colour.LinearRGB {
		return scaled(brown(), 1+shade[y/8*40+x/8]+0.2*grain.NormFloat64())
	})
	want, got := measured(t, plain, eight()).Blotch, measured(t, grainy, eight()).Blotch
	if got.Grain < want.RMS/2 {
		t.Fatalf("grain %.3f under blotch %.3f tests nothing", got.Grain, want.RMS)
	}
	total := math.Hypot(want.RMS, got.Grain)
	near(t, "blotch", got.RMS, want.RMS, total*sampling(1200)*total/want.RMS)
}
