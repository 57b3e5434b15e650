package main

import (
	"fmt"
	"math"
)

// thin lets down the bottles that were called thin as they are told to be, lays a dab of
// each anew and has a second photo checked. Its name says what water is in it: with
// another advice it is another photo.
func (st *stage) thin(first *dabScene, all []tried, each int, name string) error {
	var of []*tried
	var bottles []bottle
	for i := range all {
		if t := &all[i]; t.seen.Verdict == "thin" {
			of = append(of, t)
			bottles = append(bottles, bottle{thinned, t.letDown(), t.blend})
			name += fmt.Sprintf("-%d+%.0f", i, t.seen.WaterML)
		}
	}
	if len(of) == 0 {
		return nil
	}
	second, err := st.layAndCheck(st.dabsAgain(first), bottles, each, name)
	for i := range second {
		of[i].thinned = &second[i]
	}
	return err
}

// letDown is the bottle's strength with the water in it that was advised, if any, in whole
// millilitres to 100, as the advice is printed.
func (t tried) letDown() float64 {
	return t.strength / (1 + math.RoundToEven(t.seen.WaterML)/100)
}

// again returns what became of those that were thinned.
func again(all []tried) (out []tried) {
	for _, t := range all {
		if t.thinned != nil {
			out = append(out, *t.thinned)
		}
	}
	return out
}
