package surface

import (
	"errors"
	"fmt"
	"image"
	"math"
	"testing"

	"evenhide/colour"
)

func TestClippedCellsAreCounted(t *testing.T) {
	f := leather(320, 240, brown(), 31)
	plain := measured(t, f, eight())
	for i := range f.Clipped {
		switch {
		case i%50 == 0: // 2 %, and bright enough to show if it were used
			f.Clipped[i] = 255
			copy(f.RGB[3*i:], []float32{1, 1, 1})
		case i%50 == 1: // one pixel of 8×8 is let pass
			f.Clipped[i] = 255 / 64
		}
	}
	rd := measured(t, f, eight())
	near(t, "clipped", rd.ClippedPercent, 2, 1e-9)
	near(t, "glare", rd.GlarePercent, 0, 0.1)
	// 2 % of the cells are missing from the sums: noise of 0.15 of L*'s grain.
	near(t, "L*", rd.Lab.L, plain.Lab.L, 0.02)
}

// Cells outside the mask do not matter, whatever they hold.
func TestMaskWithHoles(t *testing.T) {
	f := paint(400, 300, func(x, y int) colour.LinearRGB { return colour.LinearRGB{R: 1, G: 1, B: 0.2} })
	rect := image.Rect(30, 20, 350, 260)
	in := make([]bool, 320*240)
	for i := range in {
		x, y := i%320, i/320
		in[i] = math.Hypot(float64(x-160), float64(y-120)) < 110 && math.Hypot(float64(x-160), float64(y-90)) > 25
		if in[i] {
			at := 3 * ((y+20)*400 + x + 30)
			c := brown()
			copy(f.RGB[at:], []float32{float32(c.R), float32(c.G), float32(c.B)})
		}
	}
	rd, err := Measure(f, Region{rect, in}, nil, eight())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "L*", rd.Lab.L, toLab(brown()).L, rounding)
	near(t, "b*", rd.Lab.B, toLab(brown()).B, rounding)
	near(t, "blotch", rd.Blotch.RMS, 0, rounding)
	// The ring is π(110²−25²) = 36 050 cells; tiles at its edges come and go.
	near(t, "tiles", float64(rd.Tiles), 36050.0/64, 25)
	// Of an even region, rounding decides which tenth of its tiles is trimmed.
	near(t, "X", rd.X, 190, 3)
	if rd.Streaky {
		t.Error("an even ring is called streaky")
	}
}

func TestOddRegions(t *testing.T) {
	f := leather(100, 80, brown(), 32)
	nan := leather(100, 80, brown(), 33)
	for i := range nan.RGB {
		nan.RGB[i] = float32(math.NaN())
	}
	clipped := leather(100, 80, brown(), 34)
	for i := range clipped.Clipped {
		clipped.Clipped[i] = 255
	}
	none := make([]bool, 100*80)
	bad := func(_, _ float64, c colour.LinearRGB) colour.LinearRGB { return colour.LinearRGB{R: math.NaN()} }
	far := func(_, _ float64, c colour.LinearRGB) colour.LinearRGB { return scaled(c, 1e300) }
	huge := image.Rect(math.MinInt, math.MinInt, math.MaxInt, math.MaxInt)
	for name, c := range map[string]struct {
		f    *colour.Field
		r    Region
		dev  Develop
		o    Options
		want error
	}{
		"no field":        {nil, Region{}, nil, Options{}, errField},
		"field in pieces": {&colour.Field{W: 9, H: 9, Cell: 1}, Region{Rect: image.Rect(0, 0, 9, 9)}, nil, Options{}, errField},
		"empty":           {f, Region{}, nil, Options{}, ErrTooSmall},
		"inside out":      {f, Region{Rect: image.Rectangle{image.Pt(50, 50), image.Pt(10, 10)}}, nil, Options{}, ErrTooSmall},
		"elsewhere":       {f, Region{Rect: image.Rect(200, 200, 300, 300)}, nil, Options{}, ErrTooSmall},
		"a corner":        {f, Region{Rect: image.Rect(-50, -50, 5, 5)}, nil, Options{}, ErrTooSmall},
		"one cell":        {f, Region{Rect: image.Rect(5, 5, 6, 6)}, nil, Options{}, ErrTooSmall},
		"one row":         {f, Region{Rect: image.Rect(0, 5, 100, 6)}, nil, Options{}, ErrTooSmall},
		"short mask":      {f, Region{f.Bounds(), none[:7]}, nil, Options{}, errField},
		"empty mask":      {f, Region{f.Bounds(), none}, nil, Options{}, ErrTooSmall},
		"coarse scale":    {f, all(f), nil, Options{CellsPerMM: 80}, ErrTooSmall},
		"endless scale":   {f, all(f), nil, Options{CellsPerMM: math.MaxFloat64}, ErrTooSmall},
		"not numbers":     {nan, all(nan), nil, Options{}, ErrNothingLeft},
		"all clipped":     {clipped, all(clipped), nil, Options{}, ErrNothingLeft},
		"bad develop":     {f, all(f), bad, Options{}, ErrNothingLeft},
		"endless develop": {f, all(f), far, Options{}, ErrNothingLeft},
		"huge":            {f, Region{Rect: huge}, nil, Options{}, nil},
		"huge mask":       {f, Region{huge, none}, nil, Options{}, errField},
		"scale NaN":       {f, all(f), nil, Options{CellsPerMM: math.NaN()}, nil},
		"scale negative":  {f, all(f), nil, Options{CellsPerMM: -1}, nil},
		"fine scale":      {f, all(f), nil, Options{CellsPerMM: 0.01}, nil},
		"two rows":        {f, Region{Rect: image.Rect(0, 5, 100, 7)}, nil, Options{}, nil},
		"few tiles":       {f, Region{Rect: image.Rect(0, 0, 6, 4)}, nil, Options{MinTiles: -3}, nil},
		"black":           {colour.NewField(60, 60, 2), Region{Rect: image.Rect(0, 0, 60, 60)}, nil, Options{}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			rd, err := Measure(c.f, c.r, c.dev, c.o)
			if !errors.Is(err, c.want) {
				t.Fatalf("error %v, want %v", err, c.want)
			}
			if err == nil {
				allNumbers(t, rd)
			}
		})
	}
}

// allNumbers fails when a figure of rd is not finite.
func allNumbers(t *testing.T, rd Reading) {
	t.Helper()
	sum := rd.Mean.R + rd.Mean.G + rd.Mean.B + rd.X + rd.Y + rd.TileCells + rd.Blotch.RMS + rd.Blotch.P95 + rd.Blotch.Grain +
		rd.MottleL + rd.GraininessL + rd.LuminanceCV + rd.SlopeL + rd.SlopeDeg + rd.StreakCoherence + rd.StreakLimit +
		rd.StreakDeg + rd.GlarePercent + rd.ClippedPercent
	for _, row := range rd.Cov {
		sum += row[0] + row[1] + row[2]
	}
	if !rd.Lab.Finite() || math.IsNaN(sum) || math.IsInf(sum, 0) {
		t.Errorf("not all numbers: %+v", rd)
	}
}

// FuzzMeasure asks of any region only that it is measured in numbers or refused.
func FuzzMeasure(f *testing.F) {
	f.Add(uint64(1), 0, 0, 40, 30, 0.0, uint8(3))
	f.Add(uint64(2), -5, 7, 200, 8, 3.1, uint8(0))
	f.Fuzz(func(t *testing.T, seed uint64, x0, y0, x1, y1 int, scale float64, holes uint8) {
		r := source(seed)
		field := paint(60, 50, func(x, y int) colour.LinearRGB {
			return scaled(brown(), math.Exp(3*r.NormFloat64()))
		})
		for i := range field.Clipped {
			field.Clipped[i] = uint8(r.IntN(256)) & holes
		}
		rect := image.Rectangle{image.Pt(x0, y0), image.Pt(x1, y1)}
		var in []bool
		if holes%3 == 0 && rect.Intersect(image.Rect(-99, -99, 99, 99)) == rect {
			in = make([]bool, rect.Dx()*rect.Dy())
			for i := range in {
				in[i] = r.IntN(256) >= int(holes)
			}
		}
		if rd, err := Measure(field, Region{rect, in}, nil, Options{CellsPerMM: scale, MinTiles: 1}); err == nil {
			allNumbers(t, rd)
		}
	})
}

func TestTileSize(t *testing.T) {
	for _, c := range []struct {
		w, h, cell int
		scale      float64
		tiles      int
		side       float64
		words      string
	}{
		{480, 960, 1, 0, 24 * 48, 20, "20 px, no scale known"},
		{480, 960, 4, 0, 24 * 48, 20, "80 px, no scale known"},
		{40, 40, 1, 0, 100, 4, "4 px, no scale known"},
		{20, 20, 2, 0, 36, 3, "6 px, no scale known"},
		{12, 12, 1, 0, 36, 2, "2 px, no scale known"},
		{320, 240, 1, 5, 50 * 37, 6.35, "1.27 mm"},
		{320, 240, 1, 2, 125 * 94, 2.54, "1.27 mm"},
		{320, 240, 1, 1, 160 * 120, 2, "2 mm"},
	} {
		t.Run(fmt.Sprintf("%d×%d at %v", c.w, c.h, c.scale), func(t *testing.T) {
			f := paint(c.w, c.h, func(x, y int) colour.LinearRGB { return brown() })
			f.Cell = c.cell
			rd := measured(t, f, Options{CellsPerMM: c.scale})
			if rd.Tiles != c.tiles || rd.Tile != c.words || math.Abs(rd.TileCells-c.side) > 1e-9 {
				t.Errorf("%d tiles of %v cells, %q", rd.Tiles, rd.TileCells, rd.Tile)
			}
		})
	}
}
