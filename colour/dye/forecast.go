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
	if !(low > 0 && high >= low && has >= c.last) || len(c.cells) == 0 {
		return Forecast{}, fmt.Errorf("%w: a course of %d coats, %d coats and a strength of %g to %g", ErrCoats, c.last, has, low, high)
	}
	var arrive [MostCoats + 1]float64
	var out Forecast
	w := newWitnesses(c.pieces)
	for _, x := range c.cells {
		p := c.on(w, x, has+MostCoats)
		there := 0.0
		for n := c.last; n <= has; n++ {
			there = max(there, p.above(n, low))
		}
		arrive[0] += x.p * there
		out.Over += x.p * p.above(has, high)
		for more := 1; more <= MostCoats; more++ {
			n := has + more
			gain := p.after[n] - p.after[n-1]
			out.Over += x.p * max(0, p.above(n-1, high-gain)-p.above(n-1, low))
			now := max(there, p.above(n, low))
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
