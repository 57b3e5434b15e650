package coats

import (
	"strings"
	"testing"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/tolerance"
)

// A shade that reads off is said even where the check itself only called for a coat.
func TestJudgeSaysAShade(t *testing.T) {
	c := shadebook.Colour{Name: "Tan", Settings: shadebook.DefaultSettings()}
	depth := &report.Depth{Strength: .6, Interval: [2]float64{.5, .7}, ShadeDE00: 2.4, ShadeInterval: [2]float64{1.4, 3.4}}
	out := report.CoatNext{More: &report.MoreCoats{Least: 1, Likely: 1, Most: 2}}
	h := history{coats: 1, readings: []reading{{coat: shadebook.Coat{Has: 1}, piece: report.Piece{Verdict: tolerance.AnotherCoat, Measures: &report.Measures{Depth: depth}}}}}
	h.judge(&out, c)
	if want := "its shade reads 2.4 off at equal strength (1.4 to 3.4)"; !strings.Contains(strings.Join(out.Reasons, "\n"), want) {
		t.Errorf("%q, wanted %q", out.Reasons, want)
	}
}

func TestJudge(t *testing.T) {
	c := shadebook.Colour{Name: "Tan", Settings: shadebook.DefaultSettings()}
	read := func(coat int, v tolerance.Verdict) []reading {
		return []reading{{coat: shadebook.Coat{Has: coat}, piece: report.Piece{Verdict: v, Reasons: []string{"as the check had it"},
			Measures: &report.Measures{Depth: &report.Depth{Strength: .6, Interval: [2]float64{.5, .7}}}}}}
	}
	for name, k := range map[string]struct {
		coats int
		read  []reading
		more  report.MoreCoats
		want  tolerance.Verdict
		least int
		says  string
	}{
		"more coats":                   {2, read(2, tolerance.AnotherCoat), report.MoreCoats{Least: 1, Likely: 2, Most: 4}, tolerance.AnotherCoat, 1, "2 more coats (1 to 4)"},
		"one":                          {2, read(2, tolerance.AnotherCoat), report.MoreCoats{Least: 1, Likely: 1, Most: 1}, tolerance.AnotherCoat, 1, "1 more coat to come"},
		"a new piece":                  {0, nil, report.MoreCoats{Least: 2, Likely: 3, Most: 4}, tolerance.AnotherCoat, 2, "takes 3 coats (2 to 4) to come within"},
		"the check knows better":       {2, read(2, tolerance.AnotherCoat), report.MoreCoats{Least: 0, Likely: 0, Most: 1}, tolerance.AnotherCoat, 1, "1 more coat to come"},
		"the check ships":              {2, read(2, tolerance.Ship), report.MoreCoats{Least: 1, Likely: 1, Most: 2}, tolerance.Ship, 0, "no more coats"},
		"shipped before the last coat": {3, read(2, tolerance.Ship), report.MoreCoats{Least: 0, Likely: 0, Most: 0}, tolerance.LookAgain, 0, "one coat since"},
		"close":                        {2, read(2, tolerance.LookAgain), report.MoreCoats{Least: 0, Likely: 0, Most: 1}, tolerance.LookAgain, 0, "0 more coats (0 to 1)"},
		"held":                         {2, read(2, tolerance.Hold), report.MoreCoats{Least: 1, Likely: 1, Most: 2}, tolerance.Hold, 1, "as the check had it"},
		"never":                        {4, read(4, tolerance.AnotherCoat), report.MoreCoats{Never: .51}, tolerance.Hold, 0, "will not get there: too little dye"},
		"perhaps never":                {4, read(4, tolerance.AnotherCoat), report.MoreCoats{Least: 1, Likely: 3, Most: 9, Never: .4}, tolerance.AnotherCoat, 1, "may not get there at all (40 %)"},
		"past":                         {1, read(1, tolerance.AnotherCoat), report.MoreCoats{Least: 1, Likely: 1, Most: 1, Over: .4}, tolerance.AnotherCoat, 1, "may go past (40 %)"},
		"not checked yet":              {1, nil, report.MoreCoats{Least: 0, Likely: 1, Most: 2}, tolerance.AnotherCoat, 0, "one coat noted, and no check yet that counts"},
	} {
		out := report.CoatNext{More: &k.more}
		history{coats: k.coats, drying: 12, readings: k.read}.judge(&out, c)
		if said := strings.Join(out.Reasons, "\n"); out.Verdict != k.want || k.more.Least != k.least || !strings.Contains(said, k.says) {
			t.Errorf("%s: %s, at least %d: %s; wanted %s, %d and %q", name, out.Verdict, k.more.Least, said, k.want, k.least, k.says)
		}
	}
}
