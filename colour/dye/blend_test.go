package dye

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"evenhide/colour"
)

// By hand. Unbounded, x = (2, -1) solves it; held at 0, the second leaves the
// first to (1·1 + 1·2)/(1² + 1²) = 1.5... of rows (1,1), (1,0).
func TestNonNegativeByHand(t *testing.T) {
	a := mat.NewDense(2, 2, []float64{1, 1, 1, 0})
	x := nonNegative(a, mat.NewVecDense(2, []float64{1, 2}))
	near(t, "first", x[0], 1.5, rounding)
	near(t, "second", x[1], 0, 0)
	x = nonNegative(a, mat.NewVecDense(2, []float64{3, 2}))
	near(t, "inside, first", x[0], 2, rounding)
	near(t, "inside, second", x[1], 1, rounding)
	x = nonNegative(a, mat.NewVecDense(2, []float64{-1, -2}))
	near(t, "all out", x[0]+x[1], 0, 0)
}

// What marks the solution (Karush, Kuhn, Tucker): nothing negative, no way down
// along a column that is at 0, and level along the others. Hence it is never
// worse than the best single column.
func TestNonNegativeIsLeast(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(rt, "n")
		value := rapid.Map(rapid.IntRange(-200, 500), func(i int) float64 { return float64(i) / 100 }) // 1e-10 among 1s is not a dab
		a, b := mat.NewDense(4, n, nil), mat.NewVecDense(4, nil)
		for i := range 4 {
			b.SetVec(i, value.Draw(rt, "b"))
			for j := range n {
				a.Set(i, j, value.Draw(rt, "a"))
			}
		}
		x := nonNegative(a, b)
		misfit := func(x []float64) float64 {
			var r mat.VecDense
			r.MulVec(a, mat.NewVecDense(n, x))
			r.SubVec(b, &r)
			return mat.Norm(&r, 2)
		}
		const float = 1e-6
		var rest, down mat.VecDense
		rest.MulVec(a, mat.NewVecDense(n, x))
		rest.SubVec(b, &rest)
		down.MulVec(a.T(), &rest)
		for j := range x {
			if w := down.AtVec(j); w > float || x[j] > 0 && w < -float {
				rt.Fatalf("%v: the misfit still falls along %d by %g", x, j, w)
			}
			if x[j] < 0 || math.IsNaN(x[j]) {
				rt.Fatalf("%v", x)
			}
			alone := make([]float64, n)
			col := a.ColView(j)
			if square := mat.Dot(col, col); square > 1e-9 {
				alone[j] = max(0, mat.Dot(col, b)/square)
			}
			if misfit(x) > misfit(alone)+float {
				rt.Fatalf("%v misses by %g, %v by %g", x, misfit(x), alone, misfit(alone))
			}
		}
	})
}

func bottles() []Bottle {
	return []Bottle{{"tan", dyeOn(.3, .9, 3)}, {"oxblood", dyeOn(.3, 6, 4)}, {"navy", dyeOn(12, 6, .8)}, {"green", dyeOn(5, .6, 4)}}
}

// dyeOn returns the hide with so much K/S added in each band.
func dyeOn(r, g, b float64) colour.LinearRGB {
	s := newSpace()
	l := newLine(s.bands(bareHide().RGB), s.bands(bareHide().RGB), Saunderson{})
	l.dye = bands{r, g, b}
	return s.rgb(l.at(1))
}

// Half of each dye and half of both with as much water: K/S adds, so the bands
// are known without mixing. Dyeing with itself thinned is its own line.
func TestMixAdds(t *testing.T) {
	bs := bottles()[:2]
	got, err := Mix(bareHide().RGB, bs, []int{1, 1}, 2)
	if err != nil {
		t.Fatal(err)
	}
	want := labOf(dyeOn(.25*(.3+.3), .25*(.9+6), .25*(3+4)))
	near(t, "ΔE", colour.DeltaE76(got, want), 0, rounding)
	thin, _ := Mix(bareHide().RGB, bs, []int{0, 2}, 1)
	line, _ := AtStrength(bareHide().RGB, bs[1].RGB, 2./3)
	near(t, "own line", colour.DeltaE76(thin, labOf(line)), 0, rounding)
}

func TestProposeFindsTheBlend(t *testing.T) {
	for _, parts := range [][]int{{0, 0, 1, 0}, {3, 1, 0, 0}, {0, 2, 1, 4}, {1, 7, 0, 4}} {
		t.Run(fmt.Sprint(parts), func(t *testing.T) {
			bs, total, k := bottles(), 0.0, bands{}
			p, err := newPalette(bareHide().RGB, bs)
			if err != nil {
				t.Fatal(err)
			}
			dyes := 0
			for i, n := range parts {
				total += float64(n)
				dyes += min(n, 1)
				for c := range k {
					k[c] += float64(n) * p.dyes[i][c]
				}
			}
			got, nearest, err := Propose(bareHide().RGB, dyeOn(k[0]/total, k[1]/total, k[2]/total), bs, colour.UnitWeights())
			if err != nil {
				t.Fatal(err)
			}
			// The fewest dyes first and each closer by 0.3; the true blend last,
			// unless fewer dyes come within 0.3 of it.
			last := got[len(got)-1]
			if last.DE > worthADye || len(last.Parts) > dyes || len(got) > 3 {
				t.Errorf("%+v", got)
			}
			for i := 1; i < len(got); i++ {
				if len(got[i].Parts) <= len(got[i-1].Parts) || got[i].DE >= got[i-1].DE-worthADye {
					t.Errorf("%+v after %+v", got[i], got[i-1])
				}
			}
			const exact = 1e-3 // the search stops at steps of 1e-5
			near(t, "nearest", nearest.DE, 0, exact)
		})
	}
}

func TestOutOfReach(t *testing.T) {
	// Twice as deep as the bottle is: no water, and still too light.
	got, nearest, err := Propose(bareHide().RGB, dyeOn(24, 12, 1.6), bottles(), colour.UnitWeights())
	if err != nil {
		t.Fatal(err)
	}
	if got[0].Water != 0 || got[0].Parts[0] != (Part{"navy", 1}) || got[0].DE < 2 || nearest.DE < 2 {
		t.Errorf("%+v, nearest %+v", got, nearest)
	}
	if sum := nearest.Amounts[0] + nearest.Amounts[1] + nearest.Amounts[2] + nearest.Amounts[3]; sum > 1+rounding || sum < .99 {
		t.Errorf("amounts %v", nearest.Amounts)
	}
}

// Any target: whole parts of at least 1 and at most twelve together, no blend
// worse than a single dye, and the amounts within 0 to 1.
func TestProposeHolds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		k := rapid.Float64Range(0, 15)
		got, nearest, err := Propose(bareHide().RGB, dyeOn(k.Draw(rt, "r"), k.Draw(rt, "g"), k.Draw(rt, "b")), bottles(), colour.UnitWeights())
		if err != nil {
			rt.Fatal(err)
		}
		for _, p := range got {
			total := p.Water
			for _, part := range p.Parts {
				if part.N < 1 {
					rt.Fatalf("%+v", p)
				}
				total += part.N
			}
			if total > MostParts || p.Water < 0 || p.DE > got[0].DE || nearest.DE > p.DE {
				rt.Fatalf("%+v, nearest %+v", p, nearest)
			}
		}
		if slices.Min(nearest.Amounts) < 0 || slices.Max(nearest.Amounts) > 1+rounding {
			rt.Fatalf("%+v", nearest)
		}
	})
}

func TestBlendRefuses(t *testing.T) {
	hide, bs := bareHide().RGB, bottles()
	pale := append(slices.Clone(bs), Bottle{"white", colour.LinearRGB{R: .8, G: .8, B: .8}})
	twice := append(slices.Clone(bs), Bottle{"tan", dyeOn(1, 1, 1)})
	alias := append(slices.Clone(bs), Bottle{"buff", bs[0].RGB})
	for name, c := range map[string]struct {
		bottles []Bottle
		parts   []int
		water   int
		want    error
	}{
		"none":       {nil, nil, 0, ErrParts},
		"all zero":   {bs, []int{0, 0, 0, 0}, 3, ErrParts},
		"below zero": {bs, []int{1, -1, 0, 0}, 3, ErrParts},
		"water":      {bs, []int{1, 0, 0, 0}, -1, ErrParts},
		"too few":    {bs, []int{1}, 0, ErrParts},
		"twice":      {twice, []int{1, 0, 0, 0, 1}, 0, ErrSameDye},
		"alias":      {alias, []int{1, 0, 0, 0, 1}, 0, ErrSameDye},
		"pale":       {pale, []int{0, 0, 0, 0, 1}, 0, ErrReference},
		"black hole": {[]Bottle{{Name: "void"}}, []int{1}, 0, ErrReflectance},
	} {
		if _, err := Mix(hide, c.bottles, c.parts, c.water); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	if _, _, err := Propose(hide, colour.LinearRGB{R: math.NaN()}, bs, colour.UnitWeights()); !errors.Is(err, ErrReflectance) {
		t.Errorf("target: %v", err)
	}
	if _, _, err := Propose(hide, hide, make([]Bottle, 25), colour.UnitWeights()); !errors.Is(err, ErrParts) {
		t.Errorf("25 bottles: %v", err)
	}
}

func BenchmarkPropose24(b *testing.B) {
	var bs []Bottle
	for i := range MostBottles {
		f := float64(i)
		bs = append(bs, Bottle{fmt.Sprint(i), dyeOn(.3+f, 6/(1+f), 1+math.Mod(3*f, 5))})
	}
	for b.Loop() {
		if _, _, err := Propose(bareHide().RGB, dyeOn(2, 3, 4), bs, colour.UnitWeights()); err != nil {
			b.Fatal(err)
		}
	}
}
