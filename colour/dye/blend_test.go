package dye

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"evenhide/colour"
)

// hideLab is bare hide; testBottles are four dyes on it, by one dab each.
func hideLab() colour.Lab { return colour.Lab{L: 70, A: 10, B: 24} }

func testBottles() []Bottle {
	dab := func(l, a, b float64) []Dab {
		return []Dab{{Part: 1, Lab: colour.Lab{L: l, A: a, B: b}, Hide: hideLab()}}
	}
	return []Bottle{{"tan", dab(55, 18, 40)}, {"oxblood", dab(32, 38, 20)}, {"navy", dab(24, 2, -10)}, {"green", dab(42, -14, 20)}}
}

func testPalette(t testing.TB) *Palette {
	t.Helper()
	p, err := NewPalette(hideLab(), testBottles())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A bottle alone is its own dab, as closely as the reading is trusted.
func TestPaletteGivesTheDabsBack(t *testing.T) {
	p := testPalette(t)
	for i, b := range testBottles() {
		parts := make([]float64, 4)
		parts[i] = 1
		got, err := p.Mix(parts, 0)
		if err != nil {
			t.Fatal(err)
		}
		const trusted = 2 * readingSD
		near(t, b.Name, colour.DeltaE76(got.Lab, b.Dabs[0].Lab), 0, trusted)
		for k := range 3 {
			if v := got.Cov[k][k]; !(v > 0 && v < 1) {
				t.Errorf("%s: variance %g", b.Name, v)
			}
		}
	}
}

// Parts are shares: of 1 and 1 and 2 of water a quarter of each adds to K/S, times
// what half as much dye gains by the mean exponent (for exponents of 1, nothing).
func TestMixAdds(t *testing.T) {
	p := testPalette(t)
	p.laws = []float64{1, .8, 1, 1}
	var want spectrum
	for k, h := range p.hide {
		want[k] = h + math.Pow(.5, .9-1)*(.25*p.plain[0][k]+.25*p.plain[1][k])
	}
	got, err := p.Mix([]float64{1, 1, 0, 0}, 2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ΔE", colour.DeltaE76(got.Lab, p.lab(&want)), 0, rounding)
}

// A dab let down with water tells how K/S grows with concentration.
func TestSecondDabTellsTheExponent(t *testing.T) {
	p := testPalette(t)
	bs := testBottles()[1:2]
	for _, law := range []float64{.85, 1, 1.1} {
		ks := p.hide
		for k := range ks {
			ks[k] += math.Pow(.4, law) * p.plain[1][k]
		}
		two := []Bottle{{bs[0].Name, append(slices.Clone(bs[0].Dabs), Dab{Part: .4, Lab: p.lab(&ks), Hide: hideLab()})}}
		q, err := NewPalette(hideLab(), two)
		if err != nil {
			t.Fatal(err)
		}
		const drawn = .06 // towards 1 and by what the reading is not trusted
		near(t, "exponent", q.laws[0], law, drawn)
	}
}

func TestProposeFindsTheBlend(t *testing.T) {
	p := testPalette(t)
	for _, parts := range [][]float64{{0, 0, 1, 0}, {3, 1, 0, 0}, {0, 2, 1, 4}, {1, 7, 0, 4}} {
		t.Run(fmt.Sprint(parts), func(t *testing.T) {
			want, err := p.Mix(parts, 2)
			if err != nil {
				t.Fatal(err)
			}
			got, nearest := p.Propose(want.Lab, colour.Weights{})
			if len(got) == 0 || got[0].DE > nearEnough {
				t.Errorf("%+v", got)
			}
			const exact = .05 // the search stops at steps of 1e-4
			near(t, "nearest", nearest.DE, 0, exact)
		})
	}
}

func TestOutOfReach(t *testing.T) {
	// Darker than any of the bottles: no water, and still too light.
	got, nearest := testPalette(t).Propose(colour.Lab{L: 12, A: 1, B: -6}, colour.Weights{})
	if got[0].Water != 0 || got[0].DE < 2 || nearest.DE < 2 || nearest.Words.Lightness == "" {
		t.Errorf("%+v, nearest %+v", got, nearest)
	}
}

// Any target: at most three blends, the fewest dyes first, of whole parts from one to
// twelve, none closer than the nearest amounts, and these within 0 to 1.
func TestProposeHolds(t *testing.T) {
	p, err := NewPalette(hideLab(), testBottles()[:3]) // one choice of three dyes is slow enough
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(rt *rapid.T) {
		k := rapid.IntRange(-400, 900)
		target := colour.Lab{L: float64(rapid.IntRange(50, 900).Draw(rt, "L")) / 10, A: float64(k.Draw(rt, "a")) / 20, B: float64(k.Draw(rt, "b")) / 20}
		got, nearest := p.Propose(target, colour.Weights{})
		if len(got) == 0 || len(got) > MostProposals {
			rt.Fatalf("%d proposals", len(got))
		}
		for i, q := range got {
			if i > 0 && len(q.Parts) < len(got[i-1].Parts) {
				rt.Fatalf("%+v after %+v", q, got[i-1])
			}
			if q.Water < 0 || q.Water > MostParts || q.DE < nearest.DE-.01 {
				rt.Fatalf("%+v, nearest %+v", q, nearest)
			}
			for _, part := range q.Parts {
				if part.N < 1 || part.N > MostParts {
					rt.Fatalf("%+v", q)
				}
			}
		}
		sum := 0.0
		for _, a := range nearest.Amounts {
			sum += a
		}
		if slices.Min(nearest.Amounts) < 0 || sum > 1+1e-9 {
			rt.Fatalf("%+v", nearest)
		}
	})
}

func TestBlendRefuses(t *testing.T) {
	p := testPalette(t)
	for _, parts := range [][]float64{{0, 0, 0, 0}, {1, -1, 0, 0}, {1}, {math.NaN(), 1, 0, 0}, {math.Inf(1), 0, 0, 0}} {
		if _, err := p.Mix(parts, 1); !errors.Is(err, ErrParts) {
			t.Errorf("%v: %v", parts, err)
		}
	}
	if _, err := p.Mix([]float64{1, 0, 0, 0}, -1); !errors.Is(err, ErrParts) {
		t.Errorf("water below 0: %v", err)
	}
	bs := testBottles()
	with := func(b Bottle) []Bottle { return append(slices.Clone(bs), b) }
	change := func(b Bottle, name string, change func(*Dab)) Bottle {
		b = Bottle{name, slices.Clone(b.Dabs)}
		change(&b.Dabs[0])
		return b
	}
	for name, c := range map[string]struct {
		bottles []Bottle
		want    error
	}{
		"none":        {nil, ErrParts},
		"25":          {make([]Bottle, 25), ErrParts},
		"no dab":      {with(Bottle{"red", nil}), ErrParts},
		"no part":     {with(change(bs[0], "red", func(d *Dab) { d.Part = 0 })), ErrParts},
		"twice":       {with(change(bs[0], "navy", func(d *Dab) { d.Lab.L = 40 })), ErrSameDye},
		"alias":       {with(change(bs[2], "ink", func(d *Dab) { d.Lab.L += .5 })), ErrSameDye},
		"pale":        {with(change(bs[0], "buff", func(d *Dab) { d.Lab = colour.Lab{L: 69.5, A: 10, B: 24} })), ErrReference},
		"bleach":      {with(change(bs[0], "white", func(d *Dab) { d.Lab = colour.Lab{L: 80, A: 0, B: 0} })), ErrReference},
		"no surface":  {with(change(bs[0], "glow", func(d *Dab) { d.Lab = colour.Lab{L: 60, A: -120, B: 90} })), ErrReflectance},
		"not numbers": {with(change(bs[0], "void", func(d *Dab) { d.Lab.A = math.NaN() })), ErrReflectance},
	} {
		if _, err := NewPalette(hideLab(), c.bottles); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	if _, err := NewPalette(colour.Lab{L: 50, A: 150}, bs); !errors.Is(err, ErrReflectance) {
		t.Errorf("hide: %v", err)
	}
}

func BenchmarkPropose24(b *testing.B) {
	bs := testBottles()
	for i := len(bs); i < MostBottles; i++ {
		d := bs[i%4].Dabs[0]
		d.Lab.L -= 1.3 * float64(i/4)
		d.Lab.A += 2.1 * float64(i/4)
		bs = append(bs, Bottle{fmt.Sprint(i), []Dab{d}})
	}
	p, err := NewPalette(hideLab(), bs)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		p.Propose(colour.Lab{L: 35, A: 15, B: 15}, colour.Weights{})
	}
}
