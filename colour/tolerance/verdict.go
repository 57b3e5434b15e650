package tolerance

import (
	"fmt"
	"math"
)

// Verdict is what to do with a piece, in the word that is printed.
type Verdict string

// The verdicts. Only Ship says that nothing remains to be done.
const (
	Ship        Verdict = "ship"
	AnotherCoat Verdict = "another coat"
	Hold        Verdict = "hold"
	LookAgain   Verdict = "look again" // too close to call
	Retake      Verdict = "retake"     // the photo cannot be judged
)

// Limits are what a colour may differ by and still ship.
type Limits struct {
	DE     float64 // ΔE00 from the reference, above 0
	Blotch float64 // RMS ΔE00 of the tiles from their mean, above 0
}

// Depth is how strongly a piece is dyed against its reference, and what differs
// besides.
type Depth struct {
	Strength float64 // 1 as strong as the reference
	Interval [2]float64
	// Shade is the difference that is left from the reference dyed to the same
	// strength, and Words says it.
	Shade Difference
	Words string
}

// Judge returns the verdict on a piece of the given difference and RMS blotch,
// with its reasons in plain words.
//
// The decision is guard-banded (JCGM 106:2012, 8.3.2, with the expanded
// uncertainty as the guard band): inside only when the whole interval is inside
// the tolerance, outside only when the whole interval is outside, and between
// the two nobody is told more than is known. A piece that is outside gets
// another coat when it is dyed more weakly than its reference and the shade at
// equal strength is not off; where no depth is known, when it is lighter with the
// hue within tolerance, as thin dye is. Everything else that is outside is held.
func Judge(d Difference, blotch float64, depth *Depth, lim Limits) (Verdict, []string) {
	colourVerdict, reasons := judgeColour(d, depth, lim.DE)
	evenness, why := judgeBlotch(blotch, lim.Blotch)
	if why != "" {
		reasons = append(reasons, why)
	}
	switch {
	case colourVerdict == Hold || evenness == Ship:
		return colourVerdict, reasons
	case colourVerdict == AnotherCoat:
		return AnotherCoat, append(reasons, "another coat may even it out")
	case evenness == Hold && colourVerdict == Ship:
		return Hold, append(reasons, "at full strength another coat would only darken it")
	default:
		return LookAgain, reasons
	}
}

func judgeColour(d Difference, depth *Depth, limit float64) (Verdict, []string) {
	lo, hi := d.Interval[0], d.Interval[1]
	switch {
	case hi <= limit:
		return Ship, []string{fmt.Sprintf("within %.1f of the reference, at most %.1f", limit, hi)}
	case lo < limit:
		return LookAgain, []string{fmt.Sprintf("too close to call: the difference is %.1f to %.1f, the tolerance %.1f", lo, hi, limit)}
	}
	reason := fmt.Sprintf("differs by %.1f to %.1f, the tolerance is %.1f", lo, hi, limit)
	verdict, why := byLightness(d, limit)
	if depth != nil {
		verdict, why = depth.judge(limit)
	}
	return verdict, []string{reason, why}
}

// judge says what a piece outside the tolerance needs.
func (d Depth) judge(limit float64) (Verdict, string) {
	percent := fmt.Sprintf("%.0f %% of the reference's strength (%.0f to %.0f %%)", 100*d.Strength, 100*d.Interval[0], 100*d.Interval[1])
	switch {
	case d.Shade.Interval[0] > limit:
		return Hold, fmt.Sprintf("off in shade by %.1f at equal strength: %s", d.Shade.DE, d.Words)
	case d.Interval[1] < 1:
		return AnotherCoat, "dyed to " + percent
	case d.Interval[0] > 1:
		return Hold, "dyed to " + percent + ": a coat cannot be taken back"
	}
	return Hold, "as strong as the reference, yet different: off in shade"
}

// byLightness says the same where no bare hide tells the strength.
func byLightness(d Difference, limit float64) (Verdict, string) {
	// Thin dye shows as lightness before anything else; a piece as light as its
	// reference that still differs is off in shade.
	const lightnessShare = 0.5 // of the whole difference
	switch hue := math.Abs(d.VH); {
	case hue > limit:
		return Hold, fmt.Sprintf("off in hue by %.1f: dye of this colour cannot mend it", hue)
	case d.VL >= lightnessShare*d.DE:
		return AnotherCoat, "lighter than the reference, hue within tolerance"
	case d.VL <= -lightnessShare*d.DE:
		return Hold, "darker than the reference: a coat cannot be taken back"
	}
	return Hold, "off in shade rather than in depth"
}

// judgeBlotch returns Ship, Hold or LookAgain for the evenness alone. The RMS
// comes out within a fifth of the truth in 95 % of rendered photos, and that fifth is
// the guard band.
func judgeBlotch(rms, limit float64) (Verdict, string) {
	const guard = 0.2
	switch {
	case rms <= limit*(1-guard):
		return Ship, ""
	case rms < limit*(1+guard):
		return LookAgain, fmt.Sprintf("evenness too close to call: blotch %.1f, the tolerance is %.1f", rms, limit)
	default:
		return Hold, fmt.Sprintf("blotchy: %.1f, the tolerance is %.1f", rms, limit)
	}
}
