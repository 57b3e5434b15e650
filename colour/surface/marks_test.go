package surface

import (
	"math"
	"testing"

	"evenhide/colour"
)

// patchy returns 60×40 tiles of 8 cells with blotches of 1.5 L* RMS, three tiles
// to the sigma, under a little grain, each cell's light times what paint returns.
func patchy(seed uint64, grain float64, times func(x, y int) float64) *colour.Field {
	l, r := blurred(60, 40, 3, seed), source(seed)
	return paint(480, 320, func(x, y int) colour.LinearRGB {
		return scaled(brown(), math.Exp(0.08*l[y/8*60+x/8]+grain*r.NormFloat64())*times(x, y))
	})
}

func plain(int, int) float64 { return 1 }

// inset is how many cells x, y lies from the nearest side of a patchy field.
func inset(x, y int) int { return min(x, 479-x, y, 319-y) }

// Leaving out the marked rim leaves a sample of the blotches.
func TestMarksAreNoBlotch(t *testing.T) {
	for name, mark := range map[string]func(x, y int) float64{
		"crease": func(x, y int) float64 {
			d := float64(inset(x, y)-10) / 2.5
			return 1 - 0.4*math.Exp(-d*d)
		},
		"crease on the rim": func(x, y int) float64 {
			d := float64(inset(x, y)-3) / 2.5
			return 1 - 0.4*math.Exp(-d*d)
		},
		"light thread": func(x, y int) float64 {
			if d := inset(x, y); d > 20 && d < 26 && (x+y)%24 < 16 {
				return 2
			}
			return 1
		},
		"scratch": func(x, y int) float64 {
			if d := x - 2*y + 100; d > -5 && d < 5 {
				return 0.6
			}
			return 1
		},
	} {
		without := measured(t, patchy(1, 0.05, plain), eight())
		with := measured(t, patchy(1, 0.05, mark), eight())
		if with.MarkPercent < 3 || with.MarkPercent > 45 {
			t.Errorf("%s: %.1f%% marked", name, with.MarkPercent)
		}
		// A third of the tiles less holds other blotches: some sixty of them have a
		// standard deviation known to 1/√120 = 9 %.
		near(t, name, with.Blotch.RMS, without.Blotch.RMS, 0.09*without.Blotch.RMS)
		near(t, name+": grain", with.Blotch.Grain, without.Blotch.Grain, 0.02)
		if with.Streaky {
			t.Errorf("%s is called streaky", name)
		}
		// Nor colour: a grained surface without blotch reads as if it had no mark.
		r := source(7)
		even := measured(t, paint(480, 320, func(x, y int) colour.LinearRGB {
			return scaled(brown(), mark(x, y)*(1+0.03*r.NormFloat64()))
		}), eight())
		near(t, name+": L*", even.Lab.L, toLab(brown()).L, 0.05)
	}
}

// Grain, blotches, stains with a sharp edge and streaks are no marks.
func TestWhatIsNoMark(t *testing.T) {
	stain := func(x, y int) float64 {
		if math.Hypot(float64(x-240), float64(y-160)) < 110 {
			return 0.8
		}
		return 1
	}
	for name, c := range map[string]struct {
		f    *colour.Field
		most float64 // percent of the tiles
	}{
		"blotch":  {patchy(2, 0.02, plain), 0.2},
		"grain":   {patchy(3, 0.2, plain), 0.5},
		"stain":   {patchy(4, 0.05, stain), 15}, // its edge
		"streaks": {paint(480, 320, func(x, y int) colour.LinearRGB { return grey(striped(20, 32, 2)(x, y)) }), 0},
	} {
		rd := measured(t, c.f, eight())
		if rd.MarkPercent > c.most {
			t.Errorf("%s: %.1f%% marked, at most %.1f", name, rd.MarkPercent, c.most)
		}
	}
	with, without := measured(t, patchy(4, 0.05, stain), eight()), measured(t, patchy(4, 0.05, plain), eight())
	// The stain takes a quarter of the piece; two levels so shared lie √(¼·¾) of
	// their distance from their mean, in squares. A fifth of the stain is its edge.
	apart := colour.DeltaE2000(toLab(brown()), toLab(scaled(brown(), 0.8)), colour.UnitWeights())
	want := math.Hypot(without.Blotch.RMS, math.Sqrt(3.0/16)*apart)
	near(t, "blotch with a stain", with.Blotch.RMS, want, 0.1*want)
}

// Where marks are everywhere, all tiles are kept.
func TestAllMarked(t *testing.T) {
	rd := measured(t, patchy(5, 0.02, func(x, y int) float64 {
		if x%20 < 4 && y%40 < 36 {
			return 0.4
		}
		return 1
	}), eight())
	if rd.MarkPercent > 100*markedMost || rd.Tiles != 2400 {
		t.Errorf("%.1f%% of %d tiles marked", rd.MarkPercent, rd.Tiles)
	}
}
