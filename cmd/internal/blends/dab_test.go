package blends

import (
	"slices"
	"testing"

	"evenhide/cmd/internal/shadebook"
)

func TestDabOfAMix(t *testing.T) {
	equal := Dab{[]shadebook.Part{{Dye: "Tan", Parts: 1}, {Dye: "Navy", Parts: 1}}, .4}
	three := Dab{[]shadebook.Part{{Dye: "Navy", Parts: 3}, {Dye: "Tan", Parts: 1}}, 1}
	names := []string{"Tan", "Red", "Navy"}
	for _, c := range []struct {
		d       Dab
		text    string
		amounts []float64
	}{
		{equal, "Tan+Navy:0.4", []float64{.2, 0, .2}},
		{three, "Navy*3+Tan*1:1", []float64{.25, 0, .75}},
		{pure("Red", .2), "Red:0.2", []float64{0, .2, 0}},
	} {
		if got := c.d.String(); got != c.text {
			t.Errorf("%s, wanted %s", got, c.text)
		}
		if got, of := c.d.amounts(names); !of || !slices.Equal(got, c.amounts) {
			t.Errorf("%s: %v, wanted %v", c.text, got, c.amounts)
		}
	}
	if _, of := three.amounts(names[:2]); of {
		t.Error("mixed from a dye that is not there")
	}
	if got := laidFrom([]float64{.2, 0, .2}, names).String(); got != equal.String() {
		t.Errorf("%s, wanted %s", got, equal)
	}
	if got := DyesOf([]Dab{three, pure("Tan", 1), equal}); !slices.Equal(got, []string{"Navy", "Tan"}) {
		t.Error(got)
	}
}
