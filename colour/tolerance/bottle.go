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

// right is the share of a limit by which a bottle is as it should be. It is small
// because what is surely off by more, and not surely off by less than the limit, is
// worth a little water; rendered dabs set it.
const right = 0.1

// JudgeBottle returns the verdict on a bottle by its dab against the reference dab,
// with its reasons in plain words.
//
// The decision is guard-banded at two limits (JCGM 106:2012, 8.3.2): a bottle is
// used only when the whole interval is inside the limit, and something is done to
// it only when the whole interval is outside a tenth of it, where bottles are as they
// should be. A reading that allows both is taken to the nearer one; one that
// allows neither is too close to call. Shade comes first: no water mends it. A
// bottle too thick or too weak need not be sure of its shade, as long as that is
// likelier right than off: it will be checked again.
func JudgeBottle(d Depth, lim BottleLimits) (Verdict, []string) {
	lo, hi := d.Interval[0], d.Interval[1]
	strength := fmt.Sprintf("%.0f %% of the reference's strength (%.0f to %.0f %%)", 100*d.Strength, 100*lo, 100*hi)
	off := stand(d.Shade.DE, d.Shade.Interval, lim.Shade)
	shade := fmt.Sprintf("off in shade by %.1f at equal strength (%.1f to %.1f)", d.Shade.DE, d.Shade.Interval[0], d.Shade.Interval[1])
	if off == outside {
		return Hold, []string{shade + ": " + d.Words, strength}
	}
	thick := stand(d.Strength-1, [2]float64{lo - 1, hi - 1}, lim.Strength)
	weak := stand(1-d.Strength, [2]float64{1 - hi, 1 - lo}, lim.Strength)
	unsure := []string{"too close to call: " + shade, strength}
	switch {
	case off == between && d.Shade.DE > middle(lim.Shade):
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
func middle(limit float64) float64 { return limit * (1 + right) / 2 }

// standing is where a figure stands to a limit.
type standing int

const (
	inside standing = iota
	between
	outside
)

// stand says where v stands, known to lie in interval.
func stand(v float64, interval [2]float64, limit float64) standing {
	within, beyond := interval[1] <= limit, interval[0] > right*limit
	switch {
	case within && beyond:
		if v > middle(limit) {
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
