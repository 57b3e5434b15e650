package dye

import "fmt"

// Forecast is how many more coats bring a piece to where it may ship.
type Forecast struct {
	// Least to Most holds the number with 90 %, Likely is the middle of it; 0 is
	// none. Where Never is over a half they are of the pieces that get there.
	Least, Likely, Most int
	// Never is the probability that no number of coats gets there: the build-up
	// ends below, or needs more than a dozen coats.
	Never float64
	// Over is the probability that the coat which gets there goes past.
	Over float64
}

// MostCoats is how many more coats are worth a forecast.
const MostCoats = 12

// Forecast returns how many more coats than the piece has bring its strength to low
// or above, and how likely that coat is to go past high: 0 < low <= high, 0.9 and
// 1.1 being 10 % either way. The error is ErrCoats.
func (c Course) Forecast(has int, low, high float64) (Forecast, error) {
	if !(low > 0 && high >= low && has >= c.coats) || len(c.cells) == 0 {
		return Forecast{}, fmt.Errorf("%w: a course of %d coats, %d coats and a strength of %g to %g", ErrCoats, c.coats, has, low, high)
	}
	var arrive [MostCoats + 1]float64
	var out Forecast
	const nothing = 1e-9 // a probability that no sum of them shows
	for _, x := range c.cells {
		if x.p < nothing {
			continue
		}
		after := x.After(c.coats)
		lay := func(n int) (gain float64) {
			next := x.After(n)
			gain, after = next-after, next
			x.lay(gain)
			return gain
		}
		for n := c.coats + 1; n <= has; n++ {
			lay(n)
		}
		there := x.above(low)
		arrive[0] += x.p * there
		out.Over += x.p * x.above(high)
		for more := 1; more <= MostCoats && there < 1-nothing; more++ {
			before := x
			gain := lay(has + more)
			out.Over += x.p * max(0, before.above(high-gain)-before.above(low))
			now := max(there, x.above(low))
			arrive[more] += x.p * (now - there)
			there = now
		}
		out.Never += x.p * (1 - there)
	}
	out.Never = min(max(0, out.Never), 1) // rounding
	out.Over = min(out.Over, 1)
	reached := 1 - out.Never
	at := func(share float64) int {
		sum := 0.0
		for more, p := range arrive {
			if sum += p; sum >= share*reached {
				return more
			}
		}
		return MostCoats
	}
	if reached <= 0 {
		return Forecast{Least: MostCoats, Likely: MostCoats, Most: MostCoats, Never: 1}, nil
	}
	out.Least, out.Likely, out.Most = at(.05), at(.5), at(.95)
	return out, nil
}
