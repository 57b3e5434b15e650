package dye

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"evenhide/colour"
)

// By hand, with an exponent of 1: of 1 part of dye in 4 to 1 in 2, x of dye for each
// 1 in hand, (.25+x)/(1+x) = .5, so x = .5; and from 1 in 2 to 1 in 4, y of water,
// .5/(1+y) = .25, so y = 1.
func TestCorrectByHand(t *testing.T) {
	p := testPalette(t)
	for _, at := range p.at {
		p.known.mean[at+samples] = -p.known.mean[0]
	}
	p.refresh()
	weak, _ := p.Mix([]float64{0, 1, 0, 0}, 3)
	strong, _ := p.Mix([]float64{0, 1, 0, 0}, 1)
	const sparing = 4 // ml: little is poured rather than much, for a tenth of ΔE00
	c, err := p.Correct(InHand{Parts: []float64{0, 1, 0, 0}, Water: 3, ML: 100}, strong.Lab, colour.Weights{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "dye", c.Add[1], 50, sparing)
	near(t, "water", c.Water, 0, 0)
	c, err = p.Correct(InHand{Parts: []float64{0, 1, 0, 0}, Water: 1, ML: 100}, weak.Lab, colour.Weights{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "no dye", c.Add[0]+c.Add[1]+c.Add[2]+c.Add[3], 0, 0)
	near(t, "more water", c.Water, 100, 2*sparing)
	c, err = p.Correct(InHand{Parts: []float64{0, 1, 0, 0}, Water: 1, ML: 100}, strong.Lab, colour.Weights{})
	if err != nil || c.Water+c.Add[0]+c.Add[1]+c.Add[2]+c.Add[3] != 0 || c.DE != c.NowDE {
		t.Errorf("right as it is: %+v, %v", c, err)
	}
}

// What a dab reads is believed less where it is as little off as hide and camera may have it
// than where the blend was clearly poured otherwise than it was meant.
func TestCorrectTellsPouringFromReading(t *testing.T) {
	p := testPalette(t)
	parts, meant := []float64{1, 1, 0, 0}, 2.
	now := func(water float64) (believed, is colour.Lab) {
		amounts, _ := p.amounts(parts, water)
		mixed, _ := p.Mix(parts, water)
		v := View{Hide: sure(hideLab()), Dabs: []Dab{{Reading: p.read(amounts)}}}
		c, err := p.Correct(InHand{Parts: parts, Water: meant, ML: 100, Seen: &v}, mixed.Lab, colour.Weights{})
		if err != nil {
			t.Fatal(err)
		}
		return c.Now.Lab, mixed.Lab
	}
	believed, is := now(meant)
	for water, want := range map[float64][2]float64{1.9: {.4, .65}, 1: {.7, 1}} {
		b, m := now(water)
		if share := (b.L - believed.L) / (m.L - is.L); share < want[0] || share > want[1] {
			t.Errorf("%g of water: believed by %.2f, wanted %v", water, share, want)
		}
	}
}

// A dab from the blend counts for more than what was meant to be in it.
func TestCorrectBelievesTheDab(t *testing.T) {
	p := testPalette(t)
	meant, _ := p.Mix([]float64{1, 1, 0, 0}, 2)
	seen, _ := p.Mix([]float64{1, 1, 0, 0}, 1.2)
	amounts, _ := p.amounts([]float64{1, 1, 0, 0}, 1.2)
	v := View{Hide: sure(hideLab()), Dabs: []Dab{{Reading: p.read(amounts)}}}
	correct := func() Correction {
		c, err := p.Correct(InHand{Parts: []float64{1, 1, 0, 0}, Water: 2, ML: 100, Seen: &v}, seen.Lab, colour.Weights{})
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	if c := correct(); colour.DeltaE76(c.Now.Lab, seen.Lab) > colour.DeltaE76(c.Now.Lab, meant.Lab) {
		t.Errorf("as it was meant: %+v", c)
	}
	v.Target = &v.Dabs[0].Reading
	if c := correct(); c.NowDE > nearEnough || c.Water != 0 {
		t.Errorf("like the swatch beside it, and not left alone: %+v", c)
	}
}

// Nothing is taken out, and what is poured in never makes it worse.
func TestCorrectHolds(t *testing.T) {
	p := testPalette(t)
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(0, 12)
		parts := []float64{float64(n.Draw(rt, "tan")), float64(n.Draw(rt, "oxblood")), float64(n.Draw(rt, "navy")), 1}
		k := rapid.IntRange(-20, 45)
		target := colour.Lab{L: float64(rapid.IntRange(10, 75).Draw(rt, "L")), A: float64(k.Draw(rt, "a")), B: float64(k.Draw(rt, "b"))}
		c, err := p.Correct(InHand{Parts: parts, Water: float64(n.Draw(rt, "water")), ML: 100}, target, colour.Weights{})
		if err != nil {
			rt.Fatal(err)
		}
		if c.DE > c.NowDE || c.Water < 0 {
			rt.Fatalf("%+v", c)
		}
		for _, v := range c.Add {
			if v < 0 {
				rt.Fatalf("%+v", c)
			}
		}
	})
}

func TestCorrectRefuses(t *testing.T) {
	p := testPalette(t)
	some := []float64{1, 0, 0, 0}
	for name, in := range map[string]InHand{
		"nothing in hand": {Parts: some}, "a lake": {Parts: some, ML: 1e9}, "water alone": {Parts: make([]float64, 4), Water: 1, ML: 10},
	} {
		if _, err := p.Correct(in, hideLab(), colour.Weights{}); !errors.Is(err, ErrParts) {
			t.Errorf("%s: %v", name, err)
		}
	}
	pale := &View{Hide: sure(hideLab()), Dabs: []Dab{{Reading: sure(hideLab())}}}
	if _, err := p.Correct(InHand{Parts: some, ML: 10, Seen: pale}, hideLab(), colour.Weights{}); !errors.Is(err, ErrReference) {
		t.Errorf("pale dab: %v", err)
	}
}

// A swatch that is seen beside the dabs and again beside the blend tells twice of one colour
// and one hide: a dab on lighter hide counts for less than where it may be another swatch.
func TestCorrectKnowsTheSwatchAgain(t *testing.T) {
	p := testPalette(t)
	amounts := []float64{.25, .25, 0, 0}
	swatch := p.read(amounts)
	v := View{Hide: p.read(make([]float64, 4)), Target: &swatch}
	for _, of := range [][]float64{{1, 0}, {.4, 0}, {0, 1}, {0, .4}, {.5, .5}, {.2, .2}} {
		v.Dabs = append(v.Dabs, Dab{of, p.read(append(of[:2:2], 0, 0))})
	}
	q, err := NewPalette(testNames()[:2], []View{v})
	if err != nil {
		t.Fatal(err)
	}
	lighter := *p
	for k := range lighter.hide {
		lighter.hide[k] *= .8
	}
	seen := View{Hide: v.Hide, Target: &swatch, Dabs: []Dab{{Reading: lighter.read(amounts)}}}
	now := func(same bool) float64 {
		seen.Same = same
		c, err := q.Correct(InHand{Parts: []float64{1, 1}, Water: 2, ML: 100, Seen: &seen}, colour.Lab{}, colour.Weights{})
		if err != nil {
			t.Fatal(err)
		}
		return c.NowDE
	}
	again, other := now(true), now(false)
	t.Logf("off by ΔE00 %.2f and %.2f", again, other)
	if again > .8*other || other < .1 {
		t.Errorf("the blend that the swatch is reads off by ΔE00 %.2f, beside another swatch by %.2f", again, other)
	}
}
