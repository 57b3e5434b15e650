package dye_test

import (
	"fmt"

	"evenhide/colour"
	"evenhide/colour/dye"
)

// A dab from the bottle beside bare hide and the reference, in one photo.
func ExampleRelative() {
	hide := dye.Sample{RGB: colour.LinearRGB{R: .60, G: .36, B: .17}}
	reference := dye.Sample{RGB: colour.LinearRGB{R: .28, G: .09, B: .04}}
	dab := dye.Sample{RGB: colour.LinearRGB{R: .25, G: .075, B: .035}}
	s, err := dye.Relative(hide, reference, dab, dye.DefaultOptions())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("strength %.2f ± %.2f, %s within 5 %%\n", s.Value, s.U, s.Standing(.05))
	fmt.Printf("shade left: ΔE00 %.1f, %s\n", s.Shade.DE, s.Shade.Words)
	water, _ := dye.Thinning(s)
	fmt.Printf("water: %.0f ml for 100 ml (%.0f to %.0f)\n", water.ML, water.Least, water.Most)
	// Output:
	// strength 1.24 ± 0.05, stronger within 5 %
	// shade left: ΔE00 0.7, slightly redder
	// water: 24 ml for 100 ml (19 to 30)
}
