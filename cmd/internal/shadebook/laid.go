package shadebook

import "time"

// DayAlone tells whether a coat was noted without its time of day: at midnight where the
// reader is.
func (c Coat) DayAlone() bool {
	return !c.When.IsZero() && c.When.Equal(c.midnight())
}

// SameDay tells whether two coats were laid on one day where the reader is.
func (c Coat) SameDay(o Coat) bool { return c.midnight().Equal(o.midnight()) }

func (c Coat) midnight() time.Time {
	y, m, d := c.When.Local().Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.Local)
}

// surelyBefore tells whether a coat was laid before another, at whatever moment of the
// minute in which it was, which is as fine as a clock is given and shown, or of its day.
func (c Coat) surelyBefore(o Coat) bool {
	if c.When.IsZero() || o.When.IsZero() {
		return false
	}
	last, first := c.When.Truncate(time.Minute).Add(time.Minute), o.When.Truncate(time.Minute)
	if c.DayAlone() {
		last = c.midnight().AddDate(0, 0, 1)
	}
	return !last.After(first)
}

// noted returns the day, and where it was noted the time, at which a coat was laid.
func (c Coat) noted() string {
	if c.DayAlone() {
		return c.When.Local().Format(time.DateOnly)
	}
	return c.When.Local().Format(clock)
}
