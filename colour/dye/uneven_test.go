package dye

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenhide/colour"
)

// Dabs on even hide and on hide that varies are told apart, most of the time, also
// where one of the dabs is of another dye.
func TestHideSpread(t *testing.T) {
	const trials, least = 200, .9
	opt := DabOptions()
	opt.Veil = 0
	r := rand.New(rand.NewPCG(2, 3))
	navy := dyeings()["navy"]
	for _, spread := range []float64{0, .25} {
		for _, strays := range []int{0, 1} {
			right := 0.0
			for range trials {
				var dabs []Sample
				for range 6 {
					s := onHide(navy, .8+.5*r.Float64(), spread*r.NormFloat64())
					s.RGB.R *= 1 + .005*r.NormFloat64()
					s.RGB.G *= 1 + .005*r.NormFloat64()
					s.RGB.B *= 1 + .005*r.NormFloat64()
					dabs = append(dabs, s)
				}
				for k := range strays {
					dabs[k].RGB.B *= 1.15
				}
				got := HideSpread(bareHide(), navy, dabs, opt)
				if (got > (evenHide+unevenHide)/2) == (spread > 0) {
					right += 1. / trials
				}
			}
			t.Logf("spread %g, %d of another dye: told in %.2f", spread, strays, right)
			if right < least {
				t.Errorf("spread %g, %d of another dye: told in %.2f, wanted %g", spread, strays, right, least)
			}
		}
	}
}

// Nothing seen leaves it between the two.
func TestHideSpreadUnseen(t *testing.T) {
	opt := DabOptions()
	for _, dabs := range [][]Sample{nil, {grey(1.2)}} {
		if got := HideSpread(bareHide(), dyeings()["brown"], dabs, opt); !(got > evenHide && got < unevenHide) {
			t.Errorf("%g of %d", got, len(dabs))
		}
	}
}

// A dab of quite another dye, from the wrong bottle, tells nothing of the hide and
// leaves the others to tell.
func TestHideSpreadBesideTheWrongBottle(t *testing.T) {
	opt := DabOptions()
	lab := func(l, a, b float64) Sample {
		return FromLab(colour.Lab{L: l, A: a, B: b}, colour.Matrix{{.01}, {0, .01}, {0, 0, .01}}, nil)
	}
	hide, brown, blue := lab(72, 8, 24), lab(38, 14, 22), lab(30, 2, -14)
	right := []Sample{brown, brown, brown, brown, brown}
	want := HideSpread(hide, brown, right, opt)
	if got := HideSpread(hide, brown, append(right, blue, blue), opt); !(math.Abs(got-want) < .001) {
		t.Errorf("%g, without it %g", got, want)
	}
}
