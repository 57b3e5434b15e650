package dye

// Standing is how a strength stands to its reference.
type Standing string

// The standings.
const (
	Weaker     Standing = "weaker"
	AsStrong   Standing = "as strong"
	Stronger   Standing = "stronger"
	CannotTell Standing = "too close to tell"
)

// Standing compares the whole interval with what still counts as strong enough,
// 1 ± within (0.1 being 10 %): weaker or stronger when all of it lies outside, as
// strong when all lies inside, and otherwise CannotTell. A less certain reading
// may lose its standing, never change to the opposite one.
func (s Strength) Standing(within float64) Standing {
	lo, hi := s.Interval[0], s.Interval[1]
	switch {
	case hi < 1-within:
		return Weaker
	case lo > 1+within:
		return Stronger
	case lo >= 1-within && hi <= 1+within:
		return AsStrong
	}
	return CannotTell
}
