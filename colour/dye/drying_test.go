package dye

import "testing"

func TestDryingHours(t *testing.T) {
	at := func(c float64) *float64 { return &c }
	for _, c := range []struct {
		celsius *float64
		want    float64
	}{{nil, 12}, {at(25), 12}, {at(18), 12}, {at(8), 24}, {at(-2), 48}} { // twice as long for every 10 °C
		near(t, "hours", DryingHours(12, c.celsius), c.want, rounding)
	}
}
