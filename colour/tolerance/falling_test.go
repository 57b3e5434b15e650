package tolerance

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// By hand: two readings fall by their difference, uncertain by both (.03, .04: .05).
// Four on a line of -.03 a step, each ± .03, are known to 3·.03/√5 = .0402. What
// scatters by s about its line, more than U/2, is known less well by 2s/U: 1, .78, 1
// leaves 2/3·.22² over one degree of freedom; 1, .9, .96, .86 falls by .036 a step
// and misses that line by .016, -.048, .048, -.016, .00512 over two.
func TestFalling(t *testing.T) {
	for _, c := range []struct {
		name     string
		readings []Dated
		by, u    float64
		falls    bool
	}{
		{"two", []Dated{{10, 1, .03}, {40, .9, .04}}, .1, .05, true},
		{"two within their uncertainty", []Dated{{10, 1, .03}, {40, .96, .04}}, .04, .05, false},
		{"slowly", []Dated{{0, 1, .03}, {7, .97, .03}, {14, .94, .03}, {21, .91, .03}}, .09, .09 / math.Sqrt(5), true},
		{"settled and shaken again", []Dated{{0, 1, .03}, {7, .78, .03}, {14, 1, .03}}, 0, .06 / math.Sqrt(2) * math.Sqrt(.22*.22*2/3) / .015, false},
		{"scattered more than they are uncertain", []Dated{{0, 1, .02}, {1, .9, .02}, {2, .96, .02}, {3, .86, .02}}, .108, .06 / math.Sqrt(5) * math.Sqrt(.00512/2) / .01, false},
		{"rising", []Dated{{0, .8, .03}, {7, 1, .03}}, -.2, .03 * math.Sqrt2, false},
	} {
		got, falls := Falling(c.readings)
		if math.Abs(got.By-c.by) > 1e-12 || math.Abs(got.U-c.u) > 1e-12 || falls != c.falls {
			t.Errorf("%s: %+v, %v", c.name, got, falls)
		}
	}
	for name, readings := range map[string][]Dated{
		"none": nil, "one": {{1, 1, .1}}, "at once": {{1, 1, .01}, {1, .5, .01}}, "too certain": {{1, 1, 0}, {2, .5, 0}}, "NaN": {{1, math.NaN(), .1}, {2, .5, .1}},
	} {
		if got, falls := Falling(readings); falls {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// Neither the day from which days count nor the unit of the figure matters.
func TestFallingHasNoOrigin(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var readings, moved []Dated
		for i := range rapid.IntRange(2, 6).Draw(rt, "n") {
			r := Dated{float64(i * rapid.IntRange(1, 9).Draw(rt, "days")), float64(rapid.IntRange(50, 150).Draw(rt, "percent")), float64(rapid.IntRange(1, 9).Draw(rt, "u"))}
			readings, moved = append(readings, r), append(moved, Dated{r.Day + 20000, r.Value / 100, r.U / 100})
		}
		a, _ := Falling(readings)
		b, _ := Falling(moved)
		if math.Abs(a.By-100*b.By) > 1e-6 || math.Abs(a.U-100*b.U) > 1e-6 {
			rt.Fatalf("%+v and %+v", a, b)
		}
	})
}
