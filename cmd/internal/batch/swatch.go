package batch

import (
	"fmt"

	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/order"
)

// strange says of each check why its reference cannot be the batch's colour; "" when
// it can. It is held against the colour's kept swatch, and without one against the
// other photos: it must be like more than half of all.
func strange(checks []shadebook.Check, kept *colour.Lab) []string {
	why := make([]string, len(checks))
	for i, c := range checks {
		if c.Reference == nil {
			continue
		}
		apart, others := 0.0, "the colour's kept one"
		if kept != nil {
			apart = colour.DeltaE2000(*kept, c.Reference.Lab, colour.UnitWeights())
		} else {
			apart, others = typical(checks, c.Reference.Lab), "those in the other photos"
		}
		if apart > check.OtherColour {
			why[i] = fmt.Sprintf("its swatch differs by ΔE00 %.0f from %s: is it of another colour?", apart, others)
		}
	}
	return why
}

// typical returns the difference that just over half of the references do not
// exceed from c, which is one of them.
func typical(checks []shadebook.Check, c colour.Lab) float64 {
	var apart []float64
	for _, other := range checks {
		if other.Reference != nil {
			apart = append(apart, colour.DeltaE2000(other.Reference.Lab, c, colour.UnitWeights()))
		}
	}
	return order.Median(apart)
}
