package dye

import (
	"math/rand/v2"
	"testing"

	"evenhide/colour"
)

// Photos of a camera that sees the dyes in its own way, beside a swatch that was mixed from
// them: with dabs of equal parts of all, the blend that the swatch is comes out much nearer
// to it than with dabs of each alone.
func TestDabOfAMixTellsHowTheCameraSeesMixes(t *testing.T) {
	const trials = 4
	p, dice := testPalette(t), rand.New(rand.NewPCG(1, 7))
	var off [2]float64
	for range trials {
		deviations := make([]float64, ways)
		for k := range deviations {
			deviations[k] = dice.NormFloat64()
		}
		weights := p.lens.weights(deviations)
		read := func(amounts []float64) Reading {
			ks := p.blended(amounts)
			return sure(seenLab(&weights, p.white, &ks))
		}
		amounts := []float64{.1 + .3*dice.Float64(), .1 + .3*dice.Float64(), .1 + .3*dice.Float64(), 0}
		target := read(amounts)
		v := View{Hide: read(make([]float64, 4)), Target: &target}
		for i := range 3 {
			for _, part := range []float64{1, .4} {
				v.Dabs = append(v.Dabs, Dab{Pure(i, part), read(append(Pure(i, part), 0, 0, 0)[:4])})
			}
		}
		for with := range off {
			for _, part := range []float64{1, .4}[:2*with] {
				mix := []float64{part / 3, part / 3, part / 3, 0}
				v.Dabs = append(v.Dabs, Dab{mix[:3], read(mix)})
			}
			q, err := NewPalette(testNames()[:3], []View{v})
			if err != nil {
				t.Fatal(err)
			}
			seen, _ := q.Target()
			off[with] += colour.DeltaE2000(seen, q.colour(amounts[:3]), colour.UnitWeights()) / trials
		}
	}
	t.Logf("the right blend reads off by ΔE00 %.2f, with dabs of a mix by %.2f", off[0], off[1])
	if off[1] > off[0]/2 {
		t.Error("a mix does not tell")
	}
}

// A mix of two to one that is said to be of equal parts is doubted, and one that is a drop in
// thirty off is not.
func TestMisnamedMix(t *testing.T) {
	p := testPalette(t)
	mixed := func(second float64) []int {
		v := View{Hide: p.read(make([]float64, 4))}
		for _, part := range []float64{1, .4} {
			first := part / (1 + second)
			v.Dabs = append(v.Dabs, Dab{Pure(0, part), p.read([]float64{part, 0, 0, 0})}, Dab{Pure(1, part), p.read([]float64{0, part, 0, 0})},
				Dab{[]float64{part / 2, part / 2}, p.read([]float64{first, part - first, 0, 0})})
		}
		q, err := NewPalette(testNames()[:2], []View{v})
		if err != nil {
			t.Fatal(err)
		}
		return q.Misnamed
	}
	for second, want := range map[float64]int{1: 0, 1 + spillSD: 0, 2: 1, .5: 1} {
		if got := mixed(second); len(got) != want {
			t.Errorf("one to %g called equal parts: doubted %v", second, got)
		}
	}
}
