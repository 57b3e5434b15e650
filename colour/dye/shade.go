package dye

import (
	"math"

	"evenhide/colour"
)

// Shade is the difference that is left once strength is matched: what more or
// less of the same dye cannot mend.
type Shade struct {
	// Predicted is the reference at the sample's strength, on the same hide, in
	// CIELAB (D65, 2°), and PredictedRGB the same in the working space.
	Predicted    colour.Lab
	PredictedRGB colour.LinearRGB
	Sample       colour.Lab
	// Split2000 is the CIEDE2000 difference of the sample from Predicted.
	colour.Split2000
	DE float64
	// Least is what is left of it at the strength at which that is least, at most DE: a
	// strength that is told badly, as that of another dye is, cannot be blamed for as much.
	Least float64
	// Cov is the covariance of the Lab difference, with the sample's and the
	// prediction's share in each other's errors taken into account: give it to
	// one side and none to the other.
	Cov colour.Matrix
	// U is the expanded uncertainty, k = 2, of DE along its own direction. A DE
	// below it may be noise alone, which always lengthens.
	U     float64
	Words colour.Words // the sample against Predicted
}

// shadeModel is by how many CIELAB units, on each axis and for each unit of the
// logarithm of strength, a shade predicted from three bands is out (standard
// uncertainty): TestStrengthFromSpectra measures it.
const shadeModel = 0.9

func (p *problem) shade(l line, strength float64, cov colour.Matrix) Shade {
	w := orUnit(p.opt.Weights)
	at := l.at(strength)
	s := Shade{Predicted: p.lab(at), PredictedRGB: p.rgb(at), Sample: p.lab(p.in[2].r), Cov: cov}
	if p.opt.Model {
		u := shadeModel * math.Log(strength)
		for i := range s.Cov {
			s.Cov[i][i] += u * u
		}
	}
	s.Split2000 = colour.Difference2000(s.Predicted, s.Sample, w)
	s.DE, s.Least = s.DeltaE(), p.leastShade(l, strength, s.Sample, w)
	s.U = s.expanded(w)
	s.Words = colour.InWords(s.Predicted, s.Sample, w)
	return s
}

// leastShade returns the least CIEDE2000 difference of a colour from the line, at the strength
// told, at none, or from 1/64 to 64.
func (p *problem) leastShade(l line, told float64, c colour.Lab, w colour.Weights) float64 {
	const step = 1.05 // of strength: .3 ΔE00 at most
	away := func(strength float64) float64 { return colour.DeltaE2000(p.lab(l.at(strength)), c, w) }
	least := min(away(told), away(0))
	for strength := 1. / mostStrength; strength <= mostStrength; strength *= step {
		least = min(least, away(strength))
	}
	return least
}

// expanded returns 2u of DE from its derivatives by the sample's Lab; at 0, where
// it has none, those of a sample that is a little lighter.
func (s Shade) expanded(w colour.Weights) float64 {
	from := s.Sample
	if s.DE < 1e-6 {
		from.L += 1e-3
	}
	const h = 1e-4
	var g [3]float64
	for k, d := range []colour.Lab{{L: h}, {A: h}, {B: h}} {
		hi := colour.DeltaE2000(s.Predicted, colour.Lab{L: from.L + d.L, A: from.A + d.A, B: from.B + d.B}, w)
		lo := colour.DeltaE2000(s.Predicted, colour.Lab{L: from.L - d.L, A: from.A - d.A, B: from.B - d.B}, w)
		g[k] = (hi - lo) / (2 * h)
	}
	moved := s.Cov.Apply(g)
	return 2 * math.Sqrt(max(0, g[0]*moved[0]+g[1]*moved[1]+g[2]*moved[2]))
}

// orUnit returns w, and the unit weights for its zero value.
func orUnit(w colour.Weights) colour.Weights {
	if w == (colour.Weights{}) {
		return colour.UnitWeights()
	}
	return w
}
