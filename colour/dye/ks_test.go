package dye

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.8g, want %.8g ± %g", what, got, want, tolerance)
	}
}

func TestKSTable(t *testing.T) {
	const (
		six   = 5.1e-7 // half the last of the table's six decimals
		three = 5.1e-4 // and of its three, in percent
		float = 1e-12
	)
	f, err := os.Open("../../testdata/published/ks_table.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != 100 {
		t.Fatalf("%d rows, error %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		t.Run(row[0], func(t *testing.T) {
			var v [3]float64
			for i := range v {
				if v[i], err = strconv.ParseFloat(row[i], 64); err != nil {
					t.Fatal(err)
				}
			}
			near(t, "K/S", KS(v[0]), v[1], six)
			near(t, "change for R−0.002", 100*(KS(v[0]-.002)/KS(v[0])-1), v[2], three)
			near(t, "R back", Reflectance(KS(v[0])), v[0], float)
		})
	}
}

func TestReflectanceOfKS(t *testing.T) {
	const rounding = 5.1e-6 // the values have five decimals; derived from the formula, section 3 of the published checks
	for ks, want := range map[float64]float64{.1: .64174, .5: .38197, 1: .26795, 2: .17157, 5: .08392, 10: .04555, 20: .02382} {
		near(t, "R", Reflectance(ks), want, rounding)
	}
	near(t, "far up, K/S", KS(Reflectance(1e9))/1e9, 1, 1e-8) // 1e-9 of R is lost in 1-R
	if r := Reflectance(1e200); !(r > 0) {
		t.Errorf("R of 1e200 is %g", r)
	}
	for _, bad := range []float64{0, -.1, 1.0001, math.NaN(), math.Inf(1)} {
		if got := KS(bad); !math.IsNaN(got) {
			t.Errorf("K/S of %g is %g", bad, got)
		}
	}
	if !math.IsNaN(Reflectance(-1e-9)) || !math.IsNaN(Reflectance(math.NaN())) {
		t.Error("a negative K/S has a reflectance")
	}
}

func TestSaunderson(t *testing.T) {
	const rounding = 5.1e-5 // four decimals; computed from the formula, k1 and k2 from memory of the paper
	s := Saunderson{K1: .04, K2: .60}
	for measured, want := range map[float64]float64{.05: .0256, .06: .0505, .1: .1429, .2: .3333, .3: .4815, .5: .697} {
		near(t, "internal", s.Internal(measured), want, rounding)
		near(t, "measured", s.Measured(s.Internal(measured)), measured, 1e-12)
	}
	near(t, "none", Saunderson{}.Internal(.3), .3, 0)
}

// K/S of a batch over that of a standard: 1.8678/1.6, and with a substrate of
// reflectance .5 taken off both, 1.6178/1.35. By hand from K/S = (1-R)²/2R.
func TestStrengthByHand(t *testing.T) {
	const rounding = 5.1e-4 // one decimal of percent
	near(t, "plain", KS(.18)/KS(.20), 1.167, rounding)
	near(t, "substrate off", (KS(.18)-KS(.5))/(KS(.20)-KS(.5)), 1.198, rounding)
	got, err := Relative(grey(.5), grey(.20), grey(.18), DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Relative", got.Value, 1.198, rounding)
}
