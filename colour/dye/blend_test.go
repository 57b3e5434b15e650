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

// hideLab is bare hide; testView has four dyes on it, by one dab each.
func hideLab() colour.Lab { return colour.Lab{L: 70, A: 10, B: 24} }

func testNames() []string { return []string{"tan", "oxblood", "navy", "green"} }

func testView() View {
	dab := func(bottle int, l, a, b float64) Dab {
		return Dab{Pure(bottle, 1), sure(colour.Lab{L: l, A: a, B: b})}
	}
	return View{Hide: sure(hideLab()), Dabs: []Dab{dab(0, 55, 18, 40), dab(1, 32, 38, 20), dab(2, 24, 2, -10), dab(3, 42, -14, 20)}}
}

// sure is a reading that shares nothing with others.
func sure(c colour.Lab) Reading { return Reading{Lab: c, Shared: []colour.Lab{}} }

func testPalette(t testing.TB) *Palette {
	t.Helper()
	p, err := NewPalette(testNames(), []View{testView()})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// read returns what the palette's camera makes of a blend.
func (p *Palette) read(amounts []float64) Reading {
	weights := p.lens.weights(p.known.mean[p.look.camera:])
	ks := p.blended(amounts)
	return sure(seenLab(&weights, p.white, &ks))
}

// A bottle alone is its own dab, as closely as the reading is trusted.
func TestPaletteGivesTheDabsBack(t *testing.T) {
	p := testPalette(t)
	for i, d := range testView().Dabs {
		parts := make([]float64, 4)
		parts[i] = 1
		got, err := p.Mix(parts, 0)
		if err != nil {
			t.Fatal(err)
		}
		const trusted = 4 * readingSD // the hide under it may be other than usual
		near(t, p.names[i], colour.DeltaE76(p.read(parts).Lab, d.Lab), 0, trusted)
		for k := range 3 {
			const most = 6 * 6 // no camera is off by more
			if v := got.Cov[k][k]; !(v > 0 && v < most) {
				t.Errorf("%s: variance %g", p.names[i], v)
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
	for _, law := range []float64{.85, 1, 1.1} {
		p.laws[1] = law
		v := View{Hide: sure(hideLab())}
		for _, part := range []float64{1, .4} {
			v.Dabs = append(v.Dabs, Dab{Pure(0, part), p.read([]float64{0, part, 0, 0})})
		}
		q, err := NewPalette(testNames()[1:2], []View{v})
		if err != nil {
			t.Fatal(err)
		}
		const drawn = .1 // towards 1 by what is thought likely, and by what the reading is not trusted
		near(t, "exponent", q.laws[0], law, drawn)
	}
}

// A swatch that was mixed from the dyes is read with the camera's error, as they are:
// the amounts come back, and what is predicted of them is what the swatch is to the eye.
func TestTargetBesideTheDabs(t *testing.T) {
	p := testPalette(t)
	amounts := []float64{.2, .3, 0, .1}
	v := testView()
	swatch := p.read(amounts)
	v.Target = &swatch
	q, err := NewPalette(testNames(), []View{v})
	if err != nil {
		t.Fatal(err)
	}
	target, ok := q.Target()
	if !ok || !q.look.mixed {
		t.Fatal("no target, or none that was mixed")
	}
	got, _ := q.Propose(target, colour.Weights{})
	back := got[0].amounts(q)
	const drawn = .5 // towards what is thought likely, and to whole parts
	near(t, "ΔE00 of the proposal", colour.DeltaE2000(p.colour(amounts), p.colour(back), colour.UnitWeights()), 0, drawn)
}

// amounts returns each bottle's share.
func (b Proposal) amounts(p *Palette) []float64 {
	parts := make([]float64, len(p.names))
	for _, part := range b.Parts {
		parts[slices.Index(p.names, part.Name)] = float64(part.N)
	}
	out, _ := p.amounts(parts, float64(b.Water))
	return out
}

// A swatch that no mix of the dyes comes near is not taken for one.
func TestTargetOfOtherDyes(t *testing.T) {
	v := testView()
	v.Dabs = v.Dabs[:2] // tan and oxblood
	blue := sure(colour.Lab{L: 40, A: 2, B: -25})
	v.Target = &blue
	p, err := NewPalette(testNames()[:2], []View{v})
	if err != nil {
		t.Fatal(err)
	}
	target, _ := p.Target()
	_, nearest := p.Propose(target, colour.Weights{})
	if p.look.mixed || nearest.DE < 10 {
		t.Errorf("mixed %v, nearest %.1f", p.look.mixed, nearest.DE)
	}
}

// Dabs of two photos tell of one dye together, and the hide of the first is dyed.
func TestTwoViews(t *testing.T) {
	first, second := testView(), testView()
	first.Hide = sure(colour.Lab{L: 74, A: 8, B: 22})
	first.Dabs, second.Dabs = first.Dabs[:2], second.Dabs[1:]
	p, err := NewPalette(testNames(), []View{first, second})
	if err != nil {
		t.Fatal(err)
	}
	const trusted = 4 * readingSD
	near(t, "hide", colour.DeltaE76(p.read(make([]float64, 4)).Lab, first.Hide.Lab), 0, trusted)
	one, err := NewPalette(testNames()[:2], []View{first})
	if err != nil {
		t.Fatal(err)
	}
	both, _ := p.Mix([]float64{0, 1, 0, 0}, 1)
	alone, _ := one.Mix([]float64{0, 1}, 1)
	for k := range 3 {
		if both.Cov[k][k] >= alone.Cov[k][k] {
			t.Errorf("axis %d: variance %g by two dabs, %g by one", k, both.Cov[k][k], alone.Cov[k][k])
		}
	}
}

// Dabs under each other's names would have the camera be off by more than any is.
func TestNamesThatCannotBe(t *testing.T) {
	p := testPalette(t)
	v := View{Hide: sure(hideLab())}
	for i := range 4 {
		for _, part := range []float64{1, .4} {
			amounts := make([]float64, 4)
			amounts[i] = part
			v.Dabs = append(v.Dabs, Dab{amounts, p.read(amounts)})
		}
	}
	if _, err := NewPalette(testNames(), []View{v}); err != nil {
		t.Fatal(err)
	}
	v.Dabs[3].Amounts, v.Dabs[7].Amounts = Pure(3, .4), Pure(1, .4)
	if _, err := NewPalette(testNames(), []View{v}); !errors.Is(err, ErrTogether) && !errors.Is(err, ErrReflectance) {
		t.Error(err)
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

// A pale colour takes more water than a dozen parts.
func TestProposePale(t *testing.T) {
	p := testPalette(t)
	want, err := p.Mix([]float64{0, 1, 0, 0}, 30)
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := p.Propose(want.Lab, colour.Weights{}); len(got[0].Parts) != 1 || got[0].Parts[0].N != 1 || got[0].Water != 30 {
		t.Errorf("%+v, want 1 part in 30 of water", got[0])
	}
}

func TestOutOfReach(t *testing.T) {
	// Darker than any of the bottles: no water, and still too light.
	got, nearest := testPalette(t).Propose(colour.Lab{L: 12, A: 1, B: -6}, colour.Weights{})
	if got[0].Water != 0 || got[0].DE < 2 || nearest.DE < 2 || nearest.Words.Lightness == "" {
		t.Errorf("%+v, nearest %+v", got, nearest)
	}
}

// Any target: at most three blends, the fewest dyes first, none with all dyes of one
// before it, of whole parts from one to
// twelve, none closer than the nearest amounts, and these within 0 to 1.
func TestProposeHolds(t *testing.T) {
	v := testView()
	v.Dabs = v.Dabs[:3] // one choice of three dyes is slow enough
	p, err := NewPalette(testNames()[:3], []View{v})
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
			if q.Water < 0 || q.Water > MostWater || q.DE < nearest.DE-.01 {
				rt.Fatalf("%+v, nearest %+v", q, nearest)
			}
			for _, fewer := range got[:i] {
				if !slices.ContainsFunc(fewer.Parts, func(a Part) bool {
					return !slices.ContainsFunc(q.Parts, func(b Part) bool { return a.Name == b.Name })
				}) {
					rt.Fatalf("%+v has all dyes of %+v", q, fewer)
				}
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
	with := func(name string, like int, change func(*Dab)) ([]string, []View) {
		v := testView()
		d := v.Dabs[like]
		d.Amounts = Pure(len(testNames()), 1)
		change(&d)
		v.Dabs = append(v.Dabs, d)
		return append(testNames(), name), []View{v}
	}
	for name, c := range map[string]struct {
		name   string
		like   int
		change func(*Dab)
		want   error
	}{
		"no bottle":   {"red", 0, func(d *Dab) { d.Amounts = Pure(5, 1) }, ErrParts},
		"below":       {"red", 0, func(d *Dab) { d.Amounts = []float64{-.1, 1} }, ErrParts},
		"shares more": {"red", 0, func(d *Dab) { d.Shared = []colour.Lab{{L: 1}} }, ErrTogether},
		"no part":     {"red", 0, func(d *Dab) { d.Amounts = Pure(4, 0) }, ErrParts},
		"twice":       {"navy", 0, func(d *Dab) { d.Lab.L = 40 }, ErrSameDye},
		"alias":       {"ink", 2, func(d *Dab) { d.Lab.L += .5 }, ErrSameDye},
		"pale":        {"buff", 0, func(d *Dab) { d.Lab = colour.Lab{L: 69.5, A: 10, B: 24} }, ErrReference},
		"bleach":      {"white", 0, func(d *Dab) { d.Lab = colour.Lab{L: 80, A: 0, B: 0} }, ErrReference},
		"no surface":  {"glow", 0, func(d *Dab) { d.Lab = colour.Lab{L: 60, A: -120, B: 90} }, ErrReflectance},
		"not numbers": {"void", 0, func(d *Dab) { d.Lab.A = math.NaN() }, ErrReflectance},
	} {
		if _, err := NewPalette(with(c.name, c.like, c.change)); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	for _, names := range [][]string{nil, make([]string, 25), append(testNames(), "red")} {
		if _, err := NewPalette(names, []View{testView()}); !errors.Is(err, ErrParts) {
			t.Errorf("%d bottles: %v", len(names), err)
		}
	}
	if _, err := NewPalette(append(testNames(), testNames()[0]), []View{testView()}); !errors.Is(err, ErrSameDye) {
		t.Errorf("named twice, its dabs once: %v", err)
	}
	v := testView()
	v.Target = &Reading{Lab: colour.Lab{L: 40, A: 20, B: 20}, Shared: []colour.Lab{{L: 1}}}
	if _, err := NewPalette(testNames(), []View{v}); !errors.Is(err, ErrTogether) {
		t.Errorf("target that shares more: %v", err)
	}
	v = testView()
	v.Hide.Lab = colour.Lab{L: 70, A: 150}
	if _, err := NewPalette(testNames(), []View{v}); !errors.Is(err, ErrTogether) {
		t.Errorf("hide: %v", err)
	}
}

func BenchmarkPropose24(b *testing.B) {
	names, v := testNames(), testView()
	for i := len(names); i < MostBottles; i++ {
		d := v.Dabs[i%4]
		d.Amounts = Pure(i, 1)
		d.Lab.L -= 1.3 * float64(i/4)
		d.Lab.A += 2.1 * float64(i/4)
		names, v.Dabs = append(names, fmt.Sprint(i)), append(v.Dabs, d)
	}
	p, err := NewPalette(names, []View{v})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		p.Propose(colour.Lab{L: 35, A: 15, B: 15}, colour.Weights{})
	}
}
