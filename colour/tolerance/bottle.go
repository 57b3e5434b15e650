package tolerance

import "fmt"

// The verdicts on a bottle of dye, besides Hold, LookAgain and Retake.
const (
	Use        Verdict = "use"
	Thin       Verdict = "thin"
	ShakeAgain Verdict = "shake and dab again" // weak: settled, or thinned too far
)

// BottleLimits are what a bottle must not be off by.
type BottleLimits struct {
	Strength float64 // share of the reference's strength, above 0: 0.14 is 14 %
	Shade    float64 // ΔE00 at equal strength, above 0
}

// The shares of the limits by which a bottle is as it should be: bottles within 3 % of
// a strength that must not be off by 14 % are, and readings of an equal shade differ by
// little.
const rightStrength, rightShade = 0.2, 0.1

// JudgeBottle returns the verdict on a bottle by its dab against the reference dab,
// with its reasons in plain words.
//
// The decision is guard-banded at two limits (JCGM 106:2012, 8.3.2): a bottle is
// used only when it is likely inside the limit, and something is done to it only when
// it is likely outside of what is right. Likely is by one standard uncertainty, five to
// one: what a wrong verdict costs is a little water, and another dab tells.
// A reading that allows both is taken to the nearer one; one that allows neither is too
// close to call. Shade comes first: no water mends
// it. A bottle too thick or too weak need not be sure of its shade, as long as that is
// likelier right than off: it will be checked again.
func JudgeBottle(d Depth, lim BottleLimits) (Verdict, []string) {
	lo, hi := d.Interval[0], d.Interval[1]
	strength := fmt.Sprintf("%.0f %% of the reference's strength (%.0f to %.0f %%)", 100*d.Strength, 100*lo, 100*hi)
	seen := d.Shade.Interval
	if seen[0] == 0 { // only because a length ends there
		seen[0] = min(0, 2*d.Shade.DE-seen[1])
	}
	off := stand(d.Shade.DE, seen, lim.Shade, rightShade)
	shade := fmt.Sprintf("off in shade by %.1f at equal strength (%.1f to %.1f)", d.Shade.DE, d.Shade.Interval[0], d.Shade.Interval[1])
	if off == outside {
		return Hold, []string{shade + ": " + d.Words, strength}
	}
	thick := stand(d.Strength-1, [2]float64{lo - 1, hi - 1}, lim.Strength, rightStrength)
	weak := stand(1-d.Strength, [2]float64{1 - hi, 1 - lo}, lim.Strength, rightStrength)
	unsure := []string{"too close to call: " + shade, strength}
	switch {
	case off == between && d.Shade.DE > middle(lim.Shade, rightShade):
		return LookAgain, unsure
	case thick == outside:
		return Thin, []string{strength}
	case weak == outside:
		return ShakeAgain, []string{strength + ": settled, or thinned too far"}
	case off == between:
		return LookAgain, unsure
	case thick == inside && weak == inside:
		return Use, []string{strength}
	}
	return LookAgain, []string{"too close to call: " + strength}
}

// middle is as far from where a figure is right as from its limit.
func middle(limit, right float64) float64 { return limit * (1 + right) / 2 }

// standing is where a figure stands to a limit.
type standing int

const (
	inside standing = iota
	between
	outside
)

// stand says where v stands, known to lie in interval with 95 %, and so halfway to
// either end of it by one standard uncertainty.
func stand(v float64, interval [2]float64, limit, right float64) standing {
	within, beyond := (v+interval[1])/2 <= limit, (v+interval[0])/2 > right*limit
	switch {
	case within && beyond:
		if v > middle(limit, right) {
			return outside
		}
		return inside
	case within:
		return inside
	case beyond:
		return outside
	}
	return between
}
