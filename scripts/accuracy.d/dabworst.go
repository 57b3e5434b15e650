package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// off is how far the reading is from the truth, 1 for as much as a bottle may be off: in
// strength, or in shade where other dye in it leaves no true strength to compare with.
func (t tried) off() float64 {
	if t.kind == offHue {
		return math.Abs(t.seen.ShadeDE00-away) / 2
	}
	return math.Abs(t.seen.Strength/t.strength-1) / .14
}

// worstDabs returns the n bottles, as they were and thinned, that were read farthest from
// the truth.
func worstDabs(all []tried, n int) []tried {
	all = slices.DeleteFunc(slices.Concat(all, again(all)), func(t tried) bool { return !t.measured() })
	slices.SortStableFunc(all, func(a, b tried) int { return cmp.Compare(b.off(), a.off()) })
	return all[:min(n, len(all))]
}

// line is what a list says of a bottle.
func (t tried) line() string {
	s := t.seen
	return fmt.Sprintf("%s, %s %d: %s %s at %.3f, L* %.0f: read %.3f (%.3f to %.3f), shade %.1f (%.1f to %.1f): %s", t.world, t.light, t.seed,
		t.kind, t.blend[0].Dye.Name, t.strength, t.lightness, s.Strength, s.Interval[0], s.Interval[1], s.ShadeDE00, s.Shade[0], s.Shade[1], s.Verdict)
}
