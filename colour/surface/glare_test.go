package surface

import (
	"fmt"
	"image"
	"math"
	"testing"

	"evenhide/colour"
)

// leather paints skin: colour c with fine grain, coarser pebbles and blotch, of
// about 12 %, 8 % and 3 %.
func leather(w, h int, c colour.LinearRGB, seed uint64) *colour.Field {
	r := source(seed)
	pebbles, blotch := blurred(w/2+1, h/2+1, 1, seed+1), blurred(w/8+1, h/8+1, 2, seed+2)
	return paint(w, h, func(x, y int) colour.LinearRGB {
		e := 0.12*r.NormFloat64() + 0.08*pebbles[y/2*(w/2+1)+x/2] + 0.03*blotch[y/8*(w/8+1)+x/8]
		return scaled(c, math.Exp(e))
	})
}

// shine adds spots of lamp light with soft rims, and returns how many cells got
// more than a third of the leather's own luminance: less is not told from grain.
func shine(f *colour.Field, lamp colour.LinearRGB, spots int, seed uint64) (cells int) {
	r := source(seed)
	added := make([]float64, f.W*f.H)
	for range spots {
		cx, cy, radius := r.Float64()*float64(f.W), r.Float64()*float64(f.H), 3+5*r.Float64()
		for i := range added {
			d := math.Hypot(float64(i%f.W)-cx, float64(i/f.W)-cy)
			added[i] = max(added[i], 0.5*min(1, max(0, (radius-d)/2)))
		}
	}
	for i, s := range added {
		c := f.At(i%f.W, i/f.W)
		if s*luminosity(lamp) > luminosity(c)/3 {
			cells++
		}
		copy(f.RGB[3*i:], []float32{float32(c.R + s*lamp.R), float32(c.G + s*lamp.G), float32(c.B + s*lamp.B)})
	}
	return cells
}

func TestGlareIsLeftOut(t *testing.T) {
	white := colour.LinearRGB{R: 1, G: 1, B: 1}
	tungsten := colour.LinearRGB{R: 1, G: 0.8, B: 0.5} // before it is made neutral
	for name, c := range map[string]struct{ body, lamp colour.LinearRGB }{
		"brown":             {brown(), white},
		"black":             {grey(15), white},
		"brown by tungsten": {colour.LinearRGB{R: 0.22, G: 0.0784, B: 0.0175}, tungsten},
		"blue":              {colour.LinearRGB{R: 0.03, G: 0.06, B: 0.16}, white},
	} {
		t.Run(name, func(t *testing.T) {
			dev := func(_, _ float64, d colour.LinearRGB) colour.LinearRGB {
				return colour.LinearRGB{R: d.R / c.lamp.R, G: d.G / c.lamp.G, B: d.B / c.lamp.B}
			}
			f := leather(400, 300, c.body, 11)
			plain, err := Measure(f, all(f), dev, eight())
			if err != nil {
				t.Fatal(err)
			}
			cells := shine(f, c.lamp, 40, 12)
			rd, err := Measure(f, all(f), dev, eight())
			if err != nil {
				t.Fatal(err)
			}
			want := 100 * float64(cells) / (400 * 300)
			t.Logf("glare %.2f%% of %.2f%%, without any %.3f%%; %+v from %+v", rd.GlarePercent, want, plain.GlarePercent, rd.Lab, plain.Lab)
			// A fifth: where a soft rim ends is a matter of grain.
			near(t, "glare", rd.GlarePercent, want, want/5)
			// 0.2 is a tenth of the least tolerance a shop would ask for.
			d := colour.DeltaE2000(plain.Lab, rd.Lab, colour.UnitWeights())
			near(t, "shift of the reading", d, 0, 0.2)
		})
	}
}

// Leather of any shade loses next to nothing where there is no glare: half a
// percent of cells would not move a reading.
func TestTextureIsNotGlare(t *testing.T) {
	for _, c := range []colour.LinearRGB{grey(8), grey(20), grey(90), brown(),
		{R: 0.75, G: 0.7, B: 0.6}, {R: 0.03, G: 0.06, B: 0.16}, {R: 0.45, G: 0.28, B: 0.15}} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			f := leather(400, 300, c, 13)
			near(t, "glare", measured(t, f, eight()).GlarePercent, 0, 0.5)
		})
	}
}

// The lighter part of a two-tone piece is no glare, whichever is the larger.
func TestSecondToneIsNotGlare(t *testing.T) {
	cream := colour.LinearRGB{R: 0.6, G: 0.52, B: 0.4}
	for _, c := range []struct{ dark, light colour.LinearRGB }{{brown(), cream}, {grey(20), grey(85)}} {
		for _, share := range []float64{0.1, 0.2, 0.5, 0.8} {
			dark, light := leather(400, 300, c.dark, 14), leather(400, 300, c.light, 15)
			edge := int(400 * (1 - share))
			f := paint(400, 300, func(x, y int) colour.LinearRGB {
				if x >= edge {
					return light.At(x, y)
				}
				return dark.At(x, y)
			})
			near(t, fmt.Sprintf("glare with %v light", share), measured(t, f, eight()).GlarePercent, 0, 0.5)
		}
	}
}

// A weakly dyed, lighter and paler blotch is what the reading is for.
func TestPaleBlotchIsNotGlare(t *testing.T) {
	spots := blurred(50, 38, 2, 16)
	f := leather(400, 300, brown(), 17)
	for i := range f.Clipped {
		k := 0.25 * max(0, spots[i/400/8*50+i%400/8]-0.8)
		bare := colour.LinearRGB{R: 0.55, G: 0.38, B: 0.24}
		c := f.At(i%400, i/400)
		copy(f.RGB[3*i:], []float32{float32(c.R + k*(bare.R-c.R)), float32(c.G + k*(bare.G-c.G)), float32(c.B + k*(bare.B-c.B))})
	}
	rd := measured(t, f, eight())
	near(t, "glare", rd.GlarePercent, 0, 0.5)
	if rd.Blotch.RMS < 1 {
		t.Errorf("blotch %.2f tests nothing", rd.Blotch.RMS)
	}
}

// What grows around a glare spot is taken out of the sums exactly.
func TestGrownRimLeavesTheSums(t *testing.T) {
	f := leather(160, 160, brown(), 18)
	shine(f, colour.LinearRGB{R: 1, G: 1, B: 1}, 8, 19)
	v, err := newView(f, all(f))
	if err != nil {
		t.Fatal(err)
	}
	dev := func(_, _ float64, c colour.LinearRGB) colour.LinearRGB { return c }
	g := newGrid(v, newGlare(v, dev), eight())
	kept := 0
	for i, b := range g.bins {
		kept += b.n
		if b.n < 0 || b.n > b.in || b.yy < -1e-6 || b.r < 0 {
			t.Errorf("bin %d: %+v", i, b)
		}
	}
	if kept+g.glare != 160*160 || len(g.seeds) == 0 || g.glare <= len(g.seeds) {
		t.Errorf("%d kept, %d glare of which %d seeds", kept, g.glare, len(g.seeds))
	}
	if got := g.binAt(image.Pt(159, 159)); got != &g.bins[len(g.bins)-1] {
		t.Error("the last cell is not in the last bin")
	}
}
