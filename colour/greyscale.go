package colour

import (
	"fmt"
	"math"
)

// ChangeGrade is a grey-scale rating of a change in colour, by instrument.
type ChangeGrade struct {
	DeltaEF float64 // ΔE_F in units of the grey scale's steps
	GS      float64 // continuous rating, 5 (no change) down to 1
}

// GradeChange returns the rating of the change from ref, the original, to
// sample, the exposed piece, by ISO 105-A05 (formula seen in a public source,
// standard's text not seen; ΔH* taken as signed, which only blues notice). Both
// colours are under the same white; the standard asks D65 and 10°. ISO 105-A11
// allows a camera for it, but not for fastness to light, which is judged by blue
// wools. It is not a colour tolerance: use DeltaE2000 for that.
func GradeChange(ref, sample Lab) ChangeGrade {
	e := deltaEF(ref, sample)
	gs := 5 - e/1.7
	if e > 3.4 {
		gs = 5 - math.Log2(e/0.85)
	}
	return ChangeGrade{DeltaEF: e, GS: max(gs, 1)}
}

// Grade returns GS rounded to half a grade, a tie upward: 5, 4.5, ... 1. The
// standard also prints a table of ΔE_F bounds that differs from the rounded
// formula by up to 0.16 units (1.24/1.25 against 1.275 between 4-5 and 4); the
// formula is used because the table is known only from memory.
func (g ChangeGrade) Grade() float64 { return math.Round(2*g.GS) / 2 }

// String returns the reported grade as the scales are marked: "5", "4-5", ... "1".
func (g ChangeGrade) String() string {
	whole, half := math.Modf(g.Grade())
	if half == 0 {
		return fmt.Sprintf("%.0f", whole)
	}
	return fmt.Sprintf("%.0f-%.0f", whole, whole+1)
}

// deltaEF returns ΔE_F of ISO 105-A05: a CIELAB difference in which chroma and
// hue count less the more vivid the colours, corrected around blue (280°).
func deltaEF(ref, sample Lab) float64 {
	dC, dH := chromaHue(ref, sample)
	t, o := sample.LCh(), ref.LCh()
	cM, hM := (t.C+o.C)/2, (t.H+o.H)/2
	if math.Abs(t.H-o.H) > 180 {
		hM = math.Mod(hM+180, 360)
	}
	off := math.Abs(hM - 280)
	if off > 180 {
		off = 360 - off
	}
	x := off / 30
	d := dC * cM * math.Exp(-x*x) / 100
	grow := func(k float64) float64 { return 1 + (k*cM/1000)*(k*cM/1000) }
	return math.Hypot(sample.L-ref.L, math.Hypot((dC-d)/grow(20), (dH-d)/grow(10)))
}
