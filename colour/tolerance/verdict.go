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

// Judge returns the verdict on a piece of the given difference and RMS blotch,
// with its reasons in plain words.
//
// The decision is guard-banded (JCGM 106:2012, 8.3.2, with the expanded
// uncertainty as the guard band): inside only when the whole interval is inside
// the tolerance, outside only when the whole interval is outside, and between
// the two nobody is told more than is known. A piece that is outside gets
// another coat when it is lighter than its reference with the hue still within
// tolerance, as thin dye is; everything else that is outside is held.
func Judge(d Difference, blotch float64, lim Limits) (Verdict, []string) {
	colourVerdict, reasons := judgeColour(d, lim.DE)
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

func judgeColour(d Difference, limit float64) (Verdict, []string) {
	lo, hi := d.Interval[0], d.Interval[1]
	switch {
	case hi <= limit:
		return Ship, []string{fmt.Sprintf("within %.1f of the reference, at most %.1f", limit, hi)}
	case lo < limit:
		return LookAgain, []string{fmt.Sprintf("too close to call: the difference is %.1f to %.1f, the tolerance %.1f", lo, hi, limit)}
	}
	reason := fmt.Sprintf("differs by %.1f to %.1f, the tolerance is %.1f", lo, hi, limit)
	if hue := math.Abs(d.VH); hue > limit {
		return Hold, []string{reason, fmt.Sprintf("off in hue by %.1f: dye of this colour cannot mend it", hue)}
	}
	// Thin dye shows as lightness before anything else; a piece as light as its
	// reference that still differs is off in shade.
	const lightnessShare = 0.5 // of the whole difference
	if d.VL >= lightnessShare*d.DE {
		return AnotherCoat, []string{reason, "lighter than the reference, hue within tolerance"}
	}
	if d.VL <= -lightnessShare*d.DE {
		return Hold, []string{reason, "darker than the reference: a coat cannot be taken back"}
	}
	return Hold, []string{reason, "off in shade rather than in depth"}
}

// judgeBlotch returns Ship, Hold or LookAgain for the evenness alone. The RMS
// of a few hundred tiles that hang together in blotches is itself known to
// about a tenth, and that tenth is the guard band.
func judgeBlotch(rms, limit float64) (Verdict, string) {
	const guard = 0.1
	switch {
	case rms <= limit*(1-guard):
		return Ship, ""
	case rms < limit*(1+guard):
		return LookAgain, fmt.Sprintf("evenness too close to call: blotch %.1f, the tolerance is %.1f", rms, limit)
	default:
		return Hold, fmt.Sprintf("blotchy: %.1f, the tolerance is %.1f", rms, limit)
	}
}
