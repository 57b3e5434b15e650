package colour

import (
	"math"
	"testing"
)

// TestGradeChangeAtScaleSteps: neutral pairs that differ by a step of ISO
// 105-A02 get that step's grade.
func TestGradeChangeAtScaleSteps(t *testing.T) {
	// The formula's own values, worked out by hand to three decimals.
	gs := []float64{5, 4.529, 4.000, 3.529, 3.000, 2.503, 2.000, 1.503, 1.000}
	const printed3 = 5e-4
	for i, r := range readTable(t, "iso105_grey_scales.csv") {
		t.Run("grade "+r["grade"], func(t *testing.T) {
			step := r.num(t, "A02_change_dEab")
			for _, sample := range []Lab{{L: 40 + step}, {L: 40 - step}} {
				g := GradeChange(Lab{L: 40}, sample)
				near(t, "ΔE_F", g.DeltaEF, step, 1e-12)
				near(t, "GS", g.GS, gs[i], printed3)
				if g.String() != r["grade"] {
					t.Errorf("reported as %s", g)
				}
			}
		})
	}
}

// TestGradeChangeBounds holds where one reported grade ends and the next begins
// against the bounds of the rounded formula, printed to three decimals.
func TestGradeChangeBounds(t *testing.T) {
	const printed3 = 5e-4
	rows := readTable(t, "iso105_grey_scales.csv")
	for i, r := range rows[:len(rows)-1] {
		bound := r.num(t, "A05_formula_upper_bound")
		if g := GradeChange(Lab{L: 40}, Lab{L: 40 + bound - printed3}); g.String() != r["grade"] {
			t.Errorf("just inside %g: grade %s, want %s", bound, g, r["grade"])
		}
		if g := GradeChange(Lab{L: 40}, Lab{L: 40 + bound + printed3}); g.String() != rows[i+1]["grade"] {
			t.Errorf("just outside %g: grade %s, want %s", bound, g, rows[i+1]["grade"])
		}
	}
}

// TestGradeChangeMeanHue: the mean hue of 345° and 155° is 70°, the short way
// round, and not 250°, where the blue correction would reach them.
func TestGradeChangeMeanHue(t *testing.T) {
	pair := func(turn float64) float64 {
		return GradeChange(LCh{40, 30, math.Mod(345+turn, 360)}.Lab(), LCh{40, 34, 155 + turn}.Lab()).DeltaEF
	}
	const correctionLeft = 1e-9 // e^(−5²) of ΔC*·C_M/100 at 70°, less at 100°
	near(t, "ΔE_F", pair(0), pair(30), correctionLeft)
}
