package dye

import (
	"errors"
	"testing"
)

// The one dab that is not of the dye it is said to be of is told; of two under each other's
// names it is not known which, nor of one among many.
func TestMisfit(t *testing.T) {
	p := testPalette(t)
	first := testView()
	first.Dabs = first.Dabs[:3]
	for name, c := range map[string]struct {
		said []int // the bottle of each dab
		want int
	}{
		"one":         {[]int{0, 0, 1, 1, 2, 0}, 5},
		"another":     {[]int{0, 2, 1, 1, 2, 2}, 1},
		"one another": {[]int{2, 0, 1, 1, 0, 2}, -1},
		"one of many": {[]int{0, 0, 1, 1, 2, 0, 0, 0, 1, 1, 2, 2, 0}, -1},
	} {
		if testing.Short() && name != "one" {
			continue
		}
		v := View{Hide: sure(hideLab())}
		for i, said := range c.said {
			amounts := make([]float64, 4)
			amounts[i/2%3] = []float64{1, .4}[i%2]
			v.Dabs = append(v.Dabs, Dab{Pure(said, amounts[i/2%3]), p.read(amounts)})
		}
		_, err := NewPalette(testNames()[:3], []View{first, v})
		if m := new(Misfit); !errors.As(err, &m) || *m != (Misfit{View: 1, Dab: c.want}) || !errors.Is(err, ErrTogether) {
			t.Errorf("%s: %v, %+v", name, err, *m)
		}
	}
}
