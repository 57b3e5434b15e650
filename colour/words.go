package colour

import (
	"math"
	"strings"
)

// Words is a colour difference as a maker would say it, sample against
// reference. A part too small to be worth saying is empty.
type Words struct {
	Lightness string // "slightly lighter", "much darker"
	Chroma    string // "clearly brighter", "slightly duller": vividness, not depth of dye
	Hue       string // "slightly redder"; for near neutrals "slightly redder, clearly yellower"
}

const (
	// namedPart is the least weighted part, in ΔE00 units, that is worth a word.
	// Three parts just under it make 0.5 to 0.7 together, under the 0.8 that half
	// of all observers see (Paravina 2015, doi 10.1111/jerd.12149: teeth, not
	// leather).
	namedPart = 0.3
	// clearPart and muchPart begin "clearly" and "much"; our own choice, in line
	// with 0.2 to 2 very small and 3 to 6 medium in wood research.
	clearPart = 1.0
	muchPart  = 3.0
	// neutralChroma is the reference's C* under which it has no hue to speak of;
	// our own choice: blacks have a cast of up to 3, the dullest browns 6.
	neutralChroma = 4.0
)

// String joins the parts: "slightly darker, clearly redder", or "no visible
// difference" when there is none to name.
func (w Words) String() string {
	var parts []string
	for _, p := range []string{w.Lightness, w.Chroma, w.Hue} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	if len(parts) == 0 {
		return "no visible difference"
	}
	return strings.Join(parts, ", ")
}

// InWords returns the CIEDE2000 difference of sample from ref in words, each
// part graded by its weighted size: slightly from 0.3, clearly from 1, much from
// 3. What a turn in hue is called depends on the reference's hue: a brown turns
// redder or yellower, a navy redder or greener. Where the reference is nearly
// neutral, or the sample lies on the other side of grey, hue and chroma mean
// little, and the direction in a* and b* is named instead.
func InWords(ref, sample Lab, w Weights) Words {
	s := Difference2000(ref, sample, w)
	words := Words{Lightness: graded(s.VL, "lighter", "darker")}
	acrossGrey := ref.A*sample.A+ref.B*sample.B < 0 // hues over 90° apart
	if from := ref.LCh(); from.C >= neutralChroma && !acrossGrey {
		more, less := hueWords(from.H)
		words.Chroma = graded(s.VC, "brighter", "duller")
		words.Hue = graded(s.VH, more, less)
		return words
	}
	s.VL = 0
	a, b := sample.A-ref.A, sample.B-ref.B
	share := s.DeltaE() / max(math.Hypot(a, b), math.SmallestNonzeroFloat64)
	cast := Words{Chroma: graded(a*share, "redder", "greener"), Hue: graded(b*share, "yellower", "bluer")}
	if cast != (Words{}) {
		words.Hue = cast.String()
	}
	return words
}

// graded returns the word for a signed part with its grade, or "" if the part is
// not worth a word.
func graded(part float64, positive, negative string) string {
	word := positive
	if part < 0 {
		word = negative
	}
	switch size := math.Abs(part); {
	case size >= muchPart:
		return "much " + word
	case size >= clearPart:
		return "clearly " + word
	case size >= namedPart:
		return "slightly " + word
	}
	return ""
}

// hueWords returns what a colour of hue h, in degrees, is called when its hue
// angle grows and when it shrinks. A colour near red, yellow, green or blue is
// named by its neighbours; one in between by the two it lies between. Where a
// region ends is common practice, no source; that navy (270°) turns redder or
// greener is the dye trade's use.
func hueWords(h float64) (more, less string) {
	switch {
	case h < 25 || h >= 340: // red
		return "yellower", "bluer"
	case h < 75: // orange, brown, tan
		return "yellower", "redder"
	case h < 105: // yellow
		return "greener", "redder"
	case h < 145: // olive, yellow-green
		return "greener", "yellower"
	case h < 190: // green
		return "bluer", "yellower"
	case h < 225: // teal
		return "bluer", "greener"
	case h < 290: // blue, navy
		return "redder", "greener"
	}
	return "redder", "bluer" // purple
}
