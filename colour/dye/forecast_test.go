package dye

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// pieceOf returns the readings of a piece after coats 1 to n, with noise.
func pieceOf(r *rand.Rand, b BuildUp, n int, u float64) (coats []Coat) {
	for i := 1; i <= n; i++ {
		coats = append(coats, Coat{i, max(.01, b.After(i)+u/2*r.NormFloat64()), u, 0})
	}
	return coats
}

// With history the forecast of a new piece is closer than without.
func TestHistoryHelps(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	const trials, u, better = 100, .1, .8
	r := rand.New(rand.NewPCG(5, 5))
	draw := func() BuildUp {
		return BuildUp{Full: 2.2 * math.Exp(.08*r.NormFloat64()), Rate: 5 * math.Exp(.08*r.NormFloat64())}
	}
	var earlier [][]Coat
	for range 6 {
		earlier = append(earlier, pieceOf(r, draw(), 5, u))
	}
	off := map[bool]float64{}
	for range trials {
		truth := draw()
		coats := pieceOf(r, truth, 2, u)
		need := 0
		for truth.After(2+need) < .9 {
			need++
		}
		for with, others := range map[bool][][]Coat{true: earlier, false: nil} {
			c, err := FitCoats(coats, others, 0)
			if err != nil {
				t.Fatal(err)
			}
			f, err := c.Forecast(2, .9, 1.1)
			if err != nil {
				t.Fatal(err)
			}
			off[with] += math.Abs(float64(f.Likely-need)) / trials
		}
	}
	t.Logf("coats out: %.2f with history, %.2f without", off[true], off[false])
	if off[true] > better*off[false] {
		t.Errorf("coats out: %.2f with history, %.2f without", off[true], off[false])
	}
}

// Whatever is read, the forecast is in order.
func TestForecastIsInOrder(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	rapid.Check(t, func(rt *rapid.T) {
		percent := func(what string, lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(rt, what)) / 100 }
		read := func(what string) (coats []Coat) {
			for n := 1; n <= rapid.IntRange(0, 4).Draw(rt, what); n++ {
				coats = append(coats, Coat{n, percent("strength", 1, 300), percent("u", 1, 100), int64(n)})
			}
			return coats
		}
		c, err := FitCoats(read("piece"), [][]Coat{read("earlier")}, 0)
		if err != nil {
			rt.Fatal(err)
		}
		has, low := rapid.IntRange(4, 9).Draw(rt, "has"), percent("low", 5, 200)
		f, err := c.Forecast(has, low, 1.2*low)
		if err != nil {
			rt.Fatal(err)
		}
		if !(0 <= f.Least && f.Least <= f.Likely && f.Likely <= f.Most && f.Most <= MostCoats && f.Never >= 0 && f.Never <= 1 && f.Over >= 0 && f.Over <= 1+rounding) {
			rt.Fatalf("%+v", f)
		}
		// One coat later what is left is one less, or it is there.
		later, err := c.Forecast(has+1, low, 1.2*low)
		if err != nil || later.Never > f.Never+rounding {
			rt.Fatalf("%+v, and with one coat more %+v, %v", f, later, err)
		}
	})
}

// A mix that is too thin is known by its earlier pieces, once they were read late: a new
// one is then not sent on for more coats. Pieces read after two coats tell it sooner
// than the one alone.
func TestThinMixIsTold(t *testing.T) {
	const u, likely = .05, .5
	r := rand.New(rand.NewPCG(6, 6))
	thin := BuildUp{Full: .7, Rate: 1.6}
	own := pieceOf(r, thin, 2, u)
	never := func(others [][]Coat) float64 {
		c, err := FitCoats(own, others, 0)
		if err != nil {
			t.Fatal(err)
		}
		f, err := c.Forecast(2, .9, 1.1)
		if err != nil {
			t.Fatal(err)
		}
		return f.Never
	}
	var late, early [][]Coat
	for range 8 {
		late, early = append(late, pieceOf(r, thin, 6, u)), append(early, pieceOf(r, thin, 2, u))
	}
	alone, beside, after := never(nil), never(early), never(late)
	t.Logf("never: %.2f alone, %.2f beside eight, %.2f after eight", alone, beside, after)
	if after < likely || beside <= alone {
		t.Errorf("never: %.2f alone, %.2f beside eight, %.2f after eight", alone, beside, after)
	}
}
