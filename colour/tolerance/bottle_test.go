package tolerance

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func dab(strength, u, shade, shadeU float64) Depth {
	return Depth{Strength: strength, Interval: [2]float64{strength - u, strength + u}, Words: "clearly redder",
		Shade: Difference{DE: shade, Interval: [2]float64{max(0, shade-shadeU), shade + shadeU}}}
}

// The limits are 14 % and ΔE00 2, so that right is up to 2.8 % and 0.2.
func TestJudgeBottle(t *testing.T) {
	for _, c := range []struct {
		name                       string
		strength, u, shade, shadeU float64
		want                       Verdict
		reason                     string
	}{
		{"right", 1.01, .04, .2, .3, Use, "101 % of the reference's strength (97 to 105 %)"},
		{"thick", 1.15, .05, .2, .3, Thin, "115 %"},
		{"weak", .8, .05, .2, .3, ShakeAgain, "settled"},
		{"a little thick, surely", 1.06, .01, .2, .3, Use, "106 %"}, // both would do; right is nearer
		{"thicker, surely", 1.09, .01, .2, .3, Thin, "109 %"},
		{"perhaps thick", 1.09, .16, .2, .3, LookAgain, "too close"},
		{"perhaps weak", .91, .16, .2, .3, LookAgain, "too close"},
		{"likely thick", 1.1, .12, .2, .3, Thin, "110 %"},
		{"likely right", 1.06, .15, .2, .3, Use, "106 %"},
		{"no telling", 1, .3, .2, .3, LookAgain, "too close"},
		{"off in shade", 1, .04, 2, .6, Hold, "off in shade by 2.0 at equal strength (1.4 to 2.6): clearly redder"},
		{"thick and off in shade", 1.3, .04, 2, .6, Hold, "130 %"},
		{"shade a little off, surely", 1, .04, .9, .2, Use, "100 %"},
		{"thick, shade hardly known", 1.3, .04, 1, 2.2, Thin, "130 %"},
		{"weak, shade perhaps off", .7, .04, 1.5, 2.8, LookAgain, "too close to call: off in shade"},
		{"shade likely off", 1, .04, 1.5, 1.4, Hold, "off in shade"},
		{"shade hardly known", 1, .04, 1, 2.2, LookAgain, "too close to call: off in shade"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, reasons := JudgeBottle(dab(c.strength, c.u, c.shade, c.shadeU), BottleLimits{.14, 2})
			if text := strings.Join(reasons, "; "); got != c.want || !strings.Contains(text, c.reason) {
				t.Errorf("got %s: %s\nwant %s: …%s…", got, text, c.want, c.reason)
			}
		})
	}
}

// Of another dye the shade is hardly known, and still cannot be less than so much.
func TestAShadeThatIsOffAtLeast(t *testing.T) {
	d := dab(1, .04, 8, 22)
	if got, _ := JudgeBottle(d, BottleLimits{.14, 2}); got != LookAgain {
		t.Errorf("off by 0 to 30: %s", got)
	}
	d.Shade.Interval[0] = 6
	if got, _ := JudgeBottle(d, BottleLimits{.14, 2}); got != Hold {
		t.Errorf("off by 6 to 30: %s", got)
	}
}

// A worse photo may make a verdict less sure, never turn use into something to do,
// nor the other way about, except where either would do.
func TestLessIsKnownOfABottleNeverTheOpposite(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		percent := func(name string, lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(rt, name)) / 100 }
		strength, shade := percent("strength", 50, 160), percent("shade", 0, 400)
		if s := math.Abs(strength - 1); s > .02 && s < .141 || shade > .19 && shade < 2.01 {
			rt.Skip("either would do")
		}
		u, v := percent("u", 0, 20), percent("shade u", 0, 150)
		sure, _ := JudgeBottle(dab(strength, u, shade, v), BottleLimits{.14, 2})
		worse, _ := JudgeBottle(dab(strength, u+percent("more u", 0, 20), shade, v+percent("more shade u", 0, 100)), BottleLimits{.14, 2})
		if worse != sure && worse != LookAgain {
			rt.Fatalf("%s becomes %s", sure, worse)
		}
		if exact, _ := JudgeBottle(dab(strength, 0, shade, 0), BottleLimits{.14, 2}); sure != exact && sure != LookAgain {
			rt.Fatalf("%s, in truth %s", sure, exact)
		}
	})
}
