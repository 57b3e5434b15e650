package surface

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"evenhide/colour"
)

// paint returns a w×h field whose cell x, y has the colour that at gives.
func paint(w, h int, at func(x, y int) colour.LinearRGB) *colour.Field {
	f := colour.NewField(w, h, 1)
	for y := range h {
		for x := range w {
			c := at(x, y)
			copy(f.RGB[3*(y*w+x):], []float32{float32(c.R), float32(c.G), float32(c.B)})
		}
	}
	return f
}

// grey returns the neutral of lightness l.
func grey(l float64) colour.LinearRGB {
	y := colour.Luminance(l)
	return colour.LinearRGB{R: y, G: y, B: y}
}

// brown is a mid-brown leather, L* 40, C* 36.
func brown() colour.LinearRGB { return colour.LinearRGB{R: 0.22, G: 0.098, B: 0.035} }

func toLab(c colour.LinearRGB) colour.Lab {
	return colour.XYZToLab(colour.WorkingSpace().XYZ(c), colour.D65())
}

func scaled(c colour.LinearRGB, k float64) colour.LinearRGB {
	return colour.LinearRGB{R: c.R * k, G: c.G * k, B: c.B * k}
}

func source(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 4)) }

func all(f *colour.Field) Region { return Region{Rect: f.Bounds()} }

// measured measures all of f with 8 cells to a tile.
func measured(t testing.TB, f *colour.Field, o Options) Reading {
	t.Helper()
	rd, err := Measure(f, all(f), nil, o)
	if err != nil {
		t.Fatal(err)
	}
	return rd
}

// eight makes tiles of 8×8 cells.
func eight() Options { return Options{CellsPerMM: 8 / tileMM} }

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s %.4g, want %.4g ± %.2g", what, got, want, tolerance)
	}
}

func BenchmarkMeasure(b *testing.B) {
	r := source(1)
	f := paint(1500, 1000, func(x, y int) colour.LinearRGB {
		return scaled(brown(), math.Exp(0.1*r.NormFloat64()+0.05*math.Sin(float64(x)/60)))
	})
	for _, side := range []float64{32, 12, 6} {
		b.Run(image.Pt(int(side), int(side)).String(), func(b *testing.B) {
			for b.Loop() {
				if _, err := Measure(f, all(f), nil, Options{CellsPerMM: side / tileMM}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A piece that fills a third of a 12-megapixel photo.
func BenchmarkMeasurePiece(b *testing.B) {
	r := source(1)
	f := paint(640, 470, func(x, y int) colour.LinearRGB {
		return scaled(brown(), math.Exp(0.1*r.NormFloat64()+0.05*math.Sin(float64(x)/60)))
	})
	f.Cell = 4
	for b.Loop() {
		if _, err := Measure(f, all(f), nil, Options{CellsPerMM: 4 / tileMM}); err != nil {
			b.Fatal(err)
		}
	}
}

// rounding is what the field's 24-bit numbers leave of an even colour, in L*.
const rounding = 1e-5

func TestEvenRegion(t *testing.T) {
	f := paint(320, 240, func(x, y int) colour.LinearRGB { return brown() })
	rd := measured(t, f, eight())
	want := toLab(brown())
	near(t, "L*", rd.Lab.L, want.L, rounding)
	near(t, "a*", rd.Lab.A, want.A, rounding)
	near(t, "b*", rd.Lab.B, want.B, rounding)
	near(t, "X", rd.X, 160, 1e-9)
	near(t, "Y", rd.Y, 120, 1e-9)
	if rd.Tiles != 1200 || rd.TileCells != 8 || rd.Tile != "1.27 mm" {
		t.Errorf("%d tiles of %v cells, %q; want 1200 of 8, 1.27 mm", rd.Tiles, rd.TileCells, rd.Tile)
	}
	for what, v := range map[string]float64{"blotch": rd.Blotch.RMS, "95th": rd.Blotch.P95, "mottle": rd.MottleL,
		"graininess": rd.GraininessL, "slope": rd.SlopeL, "coherence": rd.StreakCoherence, "sd": math.Sqrt(rd.Cov[0][0])} {
		near(t, what, v, 0, rounding)
	}
	if rd.Streaky || len(rd.Patches) == 0 {
		t.Errorf("streaky %v, %d patches", rd.Streaky, len(rd.Patches))
	}
}
