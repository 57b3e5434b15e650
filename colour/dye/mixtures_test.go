package dye_test

import (
	"math/rand/v2"
	"os"
	"testing"

	"evenhide/calibrate/scene"
	"evenhide/colour"
	"evenhide/colour/dye"
)

// Blends of two and three dyes in any amounts, from dabs whose true colours are known,
// against 81 wavelengths: how far the first proposal is off in truth where nothing but
// the prediction and the whole parts can be wrong. Dyes grow with concentration in
// proportion, or with its power 0.92.
func TestProposalsFromSpectra(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	const (
		wanted, share = 1.0, .90 // ΔE00, of the blends
		trials        = 80
	)
	spectra, err := scene.Load(os.DirFS("../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	for _, law := range []float64{1, .92} {
		for _, parts := range [][]float64{{1}, {1, .4}} {
			dice := rand.New(rand.NewPCG(1, 2))
			var off []float64
			near := 0
			for i := range trials {
				m := newMixture(spectra, dice, 2+i%2, law)
				names, view := m.view(parts)
				target := m.colour(m.amounts)
				view.Target = &dye.Reading{Lab: target, Shared: []colour.Lab{}}
				p, err := dye.NewPalette(names, []dye.View{view})
				if err != nil {
					t.Fatal(err)
				}
				seen, _ := p.Target()
				got, _ := p.Propose(seen, colour.UnitWeights())
				de := colour.DeltaE2000(target, m.colour(m.of(got[0])), colour.UnitWeights())
				if off = append(off, de); de <= wanted {
					near++
				}
			}
			t.Logf("exponent %g, dabs of %v: ΔE00 %s; %d of %d within %g", law, parts, summary(off), near, trials, wanted)
			if float64(near) < share*trials {
				t.Errorf("%d of %d within %g", near, trials, wanted)
			}
		}
	}
}

// mixture is some dyes as strong as their bottles are, and a blend of them.
type mixture struct {
	spectra  *scene.Spectra
	dyes     []scene.Dye
	strength []float64
	amounts  []float64 // the rest is water
	law      float64
}

func newMixture(s *scene.Spectra, dice *rand.Rand, dyes int, law float64) mixture {
	m := mixture{spectra: s, law: law}
	sum, dye := 0.0, .35+.6*dice.Float64()
	for _, i := range dice.Perm(len(scene.Dyes()))[:dyes] {
		m.dyes = append(m.dyes, scene.Dyes()[i])
		m.strength = append(m.strength, .8+.7*dice.Float64())
		m.amounts = append(m.amounts, .15+dice.Float64())
		sum += m.amounts[len(m.amounts)-1]
	}
	for i := range m.amounts {
		m.amounts[i] *= dye / sum
	}
	return m
}

func (m mixture) colour(amounts []float64) colour.Lab {
	total := 0.0
	for i, a := range amounts {
		total += a * m.strength[i]
	}
	var b scene.Blend
	for i, a := range amounts {
		b = append(b, scene.Part{Dye: m.dyes[i], Amount: a * m.strength[i] / total})
	}
	return m.spectra.Dyed(b, total, m.law)
}

// view returns the dyes by dabs with these parts of dye.
func (m mixture) view(parts []float64) (names []string, v dye.View) {
	sure := func(c colour.Lab) dye.Reading { return dye.Reading{Lab: c, Shared: []colour.Lab{}} }
	v.Hide = sure(m.spectra.Dyed(nil, 0, m.law))
	for i, d := range m.dyes {
		names = append(names, d.Name)
		for _, part := range parts {
			amounts := make([]float64, len(m.dyes))
			amounts[i] = part
			v.Dabs = append(v.Dabs, dye.Dab{Amounts: amounts, Reading: sure(m.colour(amounts))})
		}
	}
	return names, v
}

func (m mixture) of(p dye.Proposal) []float64 {
	out, total := make([]float64, len(m.dyes)), float64(p.Water)
	for _, part := range p.Parts {
		total += float64(part.N)
	}
	for _, part := range p.Parts {
		for i, d := range m.dyes {
			if d.Name == part.Name {
				out[i] = float64(part.N) / total
			}
		}
	}
	return out
}
