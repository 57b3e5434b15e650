package shadebook

import (
	"testing"
	"time"
)

// A coat that is noted by its day alone may have been laid at any time of it.
func TestSurelyBefore(t *testing.T) {
	day := time.Date(2026, 3, 2, 0, 0, 0, 0, time.Local)
	at := func(hours float64) time.Time { return day.Add(time.Duration(hours * float64(time.Hour))) }
	for name, c := range map[string]struct {
		first, second time.Time
		want          bool
	}{
		"one minute":               {at(9), at(9).Add(59 * time.Second), false},
		"the next minute":          {at(9).Add(59 * time.Second), at(9).Add(time.Minute), true},
		"later":                    {at(10), at(9), false},
		"a day, then a time of it": {day, at(9), false},
		"a time, then its day":     {at(23.9), day, false},
		"the same day":             {day, day, false},
		"a day, then the next":     {day, day.AddDate(0, 0, 1), true},
		"a day, then its end":      {day, at(23.99), false},
		"a time, then the next":    {at(23.9), day.AddDate(0, 0, 1), true},
		"nobody knows when":        {time.Time{}, at(9), false},
		"or the other":             {at(9), time.Time{}, false},
	} {
		if got := (Coat{When: c.first}).surelyBefore(Coat{When: c.second}); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}
