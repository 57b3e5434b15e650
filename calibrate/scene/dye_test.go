package scene

import (
	"math"
	"testing"

	"evenhide/colour"
)

func TestKubelkaMunkTable(t *testing.T) {
	const rounding = 5.1e-7 // the table has six decimals
	for _, row := range published(t, "ks_table.csv") {
		r, want := number(t, row[0]), number(t, row[1])
		if got := ks(r); math.Abs(got-want) > rounding {
			t.Errorf("K/S of %g: %.7f, want %g", r, got, want)
		}
		const float = 1e-9
		if back := reflectance(ks(r)); math.Abs(back-r) > float {
			t.Errorf("reflectance of K/S of %g: %g", r, back)
		}
	}
}

func TestSmoothGivesTheColourAsked(t *testing.T) {
	s := loadSpectra(t)
	d65 := s.lights[D65]
	white := s.white(&d65)
	const float = 1e-6
	for _, c := range []colour.Lab{{L: 96}, {L: 50}, {L: 24, A: 1, B: -2}, {L: 84, A: 2, B: 14}, {L: 93, A: .5, B: -2}} {
		r := s.smooth(c)
		got := toLab(s.xyz(&r, &d65), white)
		if deltaE2000(got, c) > float {
			t.Errorf("%v came out as %v", c, got)
		}
	}
}

func TestBareHideIsPinkishTan(t *testing.T) {
	r := bareHide()
	for i := 1; i < samples; i++ {
		if r[i] <= r[i-1] {
			t.Errorf("it falls at %g nm", wavelength(i))
		}
	}
	s := loadSpectra(t)
	d65 := s.lights[D65]
	const fitted = .5 // of the fit: its figures are rounded to two digits
	if c := toLab(s.xyz(&r, &d65), s.white(&d65)); deltaE2000(c, colour.Lab{L: 70, A: 10, B: 24}) > fitted {
		t.Errorf("%v", c)
	}
}

func TestDyesDarkenTowardsTheirName(t *testing.T) {
	s := loadSpectra(t)
	e, err := s.newEye("", "", "")
	if err != nil {
		t.Fatal(err)
	}
	bare := e.lab(e.table(BareHide(), 1).at(0, 0).xyz)
	t.Logf("%-15s %.1f", "bare", bare)
	for _, d := range Dyes() {
		last := bare.L
		for _, strength := range []float64{0.5, 1, 2} {
			c := e.lab(e.table(Leather(Blend{{d, 1}}, strength), 1).at(1, 0).xyz)
			t.Logf("%-15s %.1f %.1f", d.Name, strength, c)
			if c.L >= last {
				t.Errorf("%s at %g is no darker: %v", d.Name, strength, c)
			}
			last = c.L
		}
	}
}
