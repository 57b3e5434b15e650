package tolerance

import (
	"strings"
	"testing"

	"evenhide/colour"
)

func TestJudge(t *testing.T) {
	ref := colour.Lab{L: 38, A: 18, B: 24}
	sure, unsure := colour.Diagonal(.01, .01, .01), colour.Diagonal(.4, .4, .4)
	lim := Limits{DE: 2, Blotch: 1.5}
	for _, c := range []struct {
		name   string
		sample colour.Lab
		cov    colour.Matrix
		blotch float64
		want   Verdict
		reason string
	}{
		{"same", ref, sure, .5, Ship, "within 2.0"},
		{"near, noisy", colour.Lab{L: 40, A: 18, B: 24}, unsure, .5, LookAgain, "too close to call: the difference is"},
		{"thin", colour.Lab{L: 45, A: 18, B: 26}, sure, .5, AnotherCoat, "lighter than the reference"},
		{"thin and blotchy", colour.Lab{L: 45, A: 18, B: 26}, sure, 3, AnotherCoat, "another coat may even it out"},
		{"dark", colour.Lab{L: 31, A: 17, B: 22}, sure, .5, Hold, "darker than the reference"},
		{"lighter but red", colour.Lab{L: 45, A: 28, B: 20}, sure, .5, Hold, "off in hue"},
		{"as light, redder", colour.Lab{L: 38, A: 25, B: 20}, sure, .5, Hold, "off in hue"},
		{"as light, vivid", colour.Lab{L: 38, A: 26, B: 34.7}, sure, .5, Hold, "off in shade"},
		{"right but blotchy", ref, sure, 3, Hold, "blotchy: 3.0"},
		{"right, evenness near its limit", ref, sure, 1.5, LookAgain, "evenness too close"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := Between(Estimate{Lab: ref}, Estimate{Lab: c.sample, Cov: c.cov}, colour.UnitWeights(), Model{})
			got, reasons := Judge(d, c.blotch, nil, lim)
			if text := strings.Join(reasons, "; "); got != c.want || !strings.Contains(text, c.reason) {
				t.Errorf("got %s: %s\nwant %s: …%s…", got, text, c.want, c.reason)
			}
		})
	}
}

// A worse photo may make a verdict less sure, never turn ship into hold.
func TestMoreUncertaintyNeverCondemns(t *testing.T) {
	ref := colour.Lab{L: 38, A: 18, B: 24}
	for _, light := range []float64{0, 1, 2, 3, 5} {
		last := Verdict("")
		for _, variance := range []float64{1e-6, .01, .1, .5, 2} {
			d := Between(Estimate{Lab: ref}, Estimate{Lab: colour.Lab{L: 38 + light, A: 18, B: 24}, Cov: colour.Diagonal(variance, variance, variance)}, colour.UnitWeights(), Model{})
			got, _ := Judge(d, 0, nil, Limits{2, 1.5})
			if last != "" && got != last && got != LookAgain {
				t.Errorf("ΔL %v, variance %v: %s after %s", light, variance, got, last)
			}
			last = got
		}
	}
}
