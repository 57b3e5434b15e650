package colour

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// printed8 is half a unit of the eighth decimal, the shortest that
// colour-science prints.
const printed8 = 5e-9

func TestDeltaEVectors(t *testing.T) {
	for _, r := range readTable(t, "delta_e_vectors.csv") {
		t.Run(r["metric"]+"/"+r["L2"]+","+r["a2"]+","+r["b2"], func(t *testing.T) {
			ref, sample := r.lab(t, "L1_ref", "a1", "b1"), r.lab(t, "L2", "a2", "b2")
			var got float64
			switch r["metric"] {
			case "dE76":
				got = DeltaE76(ref, sample)
			case "dE94_111":
				got = DeltaE94(ref, sample, GraphicArts94())
			case "dE94_textile_2_.048_.014":
				got = DeltaE94(ref, sample, Textiles94())
			case "dEcmc_1_1 (=2:1, dL=0)":
				got = DeltaECMC(ref, sample, 1, 1)
				near(t, "CMC(2:1)", DeltaECMC(ref, sample, 2, 1), got, 0)
			case "dEcmc_2_1":
				got = DeltaECMC(ref, sample, 2, 1)
			case "dE00_111":
				got = DeltaE2000(ref, sample, UnitWeights())
			case "dE00_kL2":
				got = DeltaE2000(ref, sample, Weights{2, 1, 1})
			default:
				t.Fatalf("no such difference here")
			}
			tolerance := printed4
			if strings.HasPrefix(r["source"], "colour-science") {
				tolerance = printed8
			}
			near(t, r["metric"], got, r.num(t, "value"), tolerance)
		})
	}
}

func TestDeltaEMoreVectors(t *testing.T) {
	// From color.js test/delta.js (CMC) and the ICC HDR working group's table.
	near(t, "CMC(2:1) to grey", DeltaECMC(Lab{50, 30, 40}, Lab{50, 0, 0}, 2, 1), 19.4894, printed4)
	near(t, "ΔE00 of white and black", DeltaE2000(Lab{L: 100}, Lab{}, UnitWeights()), 100, printed4)
}

// TestLeatherPairs holds every column against the pairs worked out by a
// separate implementation.
func TestLeatherPairs(t *testing.T) {
	for _, r := range readTable(t, "leather_like_pairs_derived.csv") {
		t.Run("leather/"+r["note"], func(t *testing.T) {
			ref, sample := r.lab(t, "L1", "a1", "b1"), r.lab(t, "L2", "a2", "b2")
			s, g := Difference2000(ref, sample, UnitWeights()), GradeChange(ref, sample)
			for column, got := range map[string]float64{
				"dE76":             DeltaE76(ref, sample),
				"dE94_111":         DeltaE94(ref, sample, GraphicArts94()),
				"dE94_textile_211": DeltaE94(ref, sample, Textiles94()),
				"dEcmc_1_1":        DeltaECMC(ref, sample, 1, 1),
				"dEcmc_2_1":        DeltaECMC(ref, sample, 2, 1),
				"dE00_111":         s.DeltaE(),
				"dE00_kL2":         DeltaE2000(ref, sample, Weights{2, 1, 1}),
				"dLp":              s.DL,
				"dCp":              s.DC,
				"dHp":              s.DH,
				"dLp_over_SL":      s.VL,
				"dCp_over_SC":      s.VC,
				"dHp_over_SH":      s.VH,
				"A05_dEF":          g.DeltaEF,
				"A05_GS":           g.GS,
			} {
				near(t, column, got, r.num(t, column), printed4)
			}
		})
	}
}

// TestReferenceComesFirst: CMC and CIE94 take their weights from the reference.
func TestReferenceComesFirst(t *testing.T) {
	swatch, piece := Lab{38, 18, 24}, Lab{36, 17, 22}
	near(t, "CMC", DeltaECMC(swatch, piece, 2, 1), 1.6276, printed4)
	near(t, "CMC reversed", DeltaECMC(piece, swatch, 2, 1), 1.6831, printed4)
	if there, back := DeltaE94(swatch, piece, GraphicArts94()), DeltaE94(piece, swatch, GraphicArts94()); there == back {
		t.Errorf("CIE94 is %g both ways; the reference's chroma should weigh", there)
	}
}

// TestCMCHueBranches: the values either side of the two joins, worked out by
// hand from the formula.
func TestCMCHueBranches(t *testing.T) {
	for h, want := range map[float64]float64{163: 0.7404, 164: 0.7366, 345: 0.7382, 346: 0.7334} {
		near(t, "T", hueWeightCMC(h), want, printed4)
	}
}

// TestWeights94: a factor divides its own part.
func TestWeights94(t *testing.T) {
	ref, plain, loose := Lab{40, 20, 0}, Weights94{KL: 1, KC: 1, KH: 1}, Weights94{KL: 2, KC: 4, KH: 5}
	near(t, "lightness", DeltaE94(ref, Lab{42, 20, 0}, loose), 1, 1e-12)
	near(t, "chroma", DeltaE94(ref, Lab{40, 24, 0}, loose), 1, 1e-12)
	turned := LCh{40, 20, 10}.Lab()
	near(t, "hue", DeltaE94(ref, turned, loose), DeltaE94(ref, turned, plain)/5, 1e-12)
}

func TestDeltaEProperties(t *testing.T) {
	const rounding = 1e-9 // of a root of a sum of squares up to 300
	rapid.Check(t, func(t *rapid.T) {
		one, two := anyLab(t, "ref"), anyLab(t, "sample")
		for name, e := range map[string]func(ref, sample Lab) float64{
			"76":  DeltaE76,
			"94":  func(r, s Lab) float64 { return DeltaE94(r, s, Textiles94()) },
			"CMC": func(r, s Lab) float64 { return DeltaECMC(r, s, 2, 1) },
			"A05": deltaEF,
		} {
			if same := e(one, one); same != 0 {
				t.Errorf("%s: a colour differs from itself by %g", name, same)
			}
			if v := e(one, two); !(v >= 0) {
				t.Errorf("%s: %g", name, v)
			}
		}
		dC, dH := chromaHue(one, two)
		plane := math.Hypot(one.A-two.A, one.B-two.B)
		if got := math.Hypot(dC, dH); math.Abs(got-plane) > rounding {
			t.Errorf("ΔC* and ΔH* make %g, the a*b* distance is %g", got, plane)
		}
		if sign := one.A*two.B - two.A*one.B; sign*dH < 0 {
			t.Errorf("ΔH* %g, the turn's sign is that of %g", dH, sign)
		}
	})
}
