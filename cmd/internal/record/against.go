package record

import (
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Against returns rq with a colour's limits and weights, and its kept swatch for
// photos that show none; nil when there is no such swatch.
func Against(rq check.Request, c shadebook.Colour, s *shadebook.Swatch) check.Request {
	rq.Limits = tolerance.Limits{DE: c.Tolerance, Blotch: c.BlotchTolerance}
	rq.Weights = colour.Weights{KL: c.KL, KC: 1, KH: 1}
	if s == nil {
		return rq
	}
	rq.Kept = &check.Kept{Colour: c.Name, Lab: s.Lab, Cov: s.Cov, Print: s.Print,
		Light: s.Light, Camera: s.Camera, Card: s.Card, Measured: s.CardMeasured, Read: s.Taken}
	if s.Taken.IsZero() {
		rq.Kept.Read = s.Kept
	}
	return rq
}
