package coats

import (
	"testing"
	"time"

	"evenhide/cmd/internal/shadebook"
)

func TestDampAfterADay(t *testing.T) {
	day := time.Date(2026, 3, 1, 0, 0, 0, 0, time.Local)
	c, coats := shadebook.Colour{Settings: shadebook.DefaultSettings()}, []shadebook.Coat{{Number: 1, When: day.UTC()}}
	dry := day.Add(30 * time.Hour) // 12 h after the evening
	if d := dampAt(c, coats, dry.Add(-time.Minute)); d == nil || !d.dry.Equal(dry) {
		t.Errorf("%+v, wanted dry at %v", d, dry)
	}
	if d := dampAt(c, coats, dry); d != nil {
		t.Errorf("%+v, wanted dry", d)
	}
}

// Of coats of one day, one of them noted by that alone, that of the highest number was the
// last; it counts from the evening, but not from before the others.
func TestDampAfterCoatsOfOneDay(t *testing.T) {
	day := time.Date(2026, 3, 1, 0, 0, 0, 0, time.Local)
	at := func(hours int) time.Time { return day.Add(time.Duration(hours) * time.Hour) }
	c := shadebook.Colour{Settings: shadebook.DefaultSettings()} // dries 12 h
	for name, k := range map[string]struct {
		first, second time.Time
		dry           time.Time
	}{
		"the second by its day":            {at(14), day, at(30)},
		"the same, after a late one":       {at(21), day, at(33)},
		"the first by its day":             {day, at(9), at(21)},
		"both by their day":                {day, day, at(30)},
		"the first by its day, days apart": {at(-24), at(9), at(21)},
	} {
		coats := []shadebook.Coat{{Number: 1, When: k.first}, {Number: 2, When: k.second}}
		if d := dampAt(c, coats, k.dry.Add(-time.Minute)); d == nil || !d.dry.Equal(k.dry) {
			t.Errorf("%s: %+v, wanted dry at %v", name, d, k.dry)
		}
		if d := dampAt(c, coats, k.dry); d != nil {
			t.Errorf("%s: %+v, wanted dry", name, d)
		}
	}
}

func TestDampAt(t *testing.T) {
	noon := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	at := func(hours float64) time.Time { return noon.Add(time.Duration(hours * float64(time.Hour))) }
	cold, warm := 8.0, 20.0
	c := shadebook.Colour{Settings: shadebook.DefaultSettings()} // dries 12 h
	coat := func(n int, hours float64, celsius *float64) shadebook.Coat {
		return shadebook.Coat{Number: n, When: at(hours), Temperature: celsius}
	}
	for name, k := range map[string]struct {
		coats []shadebook.Coat
		taken time.Time
		has   int
		dry   time.Time // zero: not damp
	}{
		"bare":                    {nil, noon, 0, time.Time{}},
		"before the first":        {[]shadebook.Coat{coat(1, 1, nil)}, noon, 0, time.Time{}},
		"just laid":               {[]shadebook.Coat{coat(1, 0, nil)}, noon, 1, at(12)},
		"a minute short":          {[]shadebook.Coat{coat(1, 0, nil)}, at(12 - 1./60), 1, at(12)},
		"dry":                     {[]shadebook.Coat{coat(1, 0, &warm)}, at(12), 1, time.Time{}},
		"cold":                    {[]shadebook.Coat{coat(1, 0, &cold)}, at(23.9), 1, at(24)},
		"cold and dry":            {[]shadebook.Coat{coat(1, 0, &cold)}, at(24), 1, time.Time{}},
		"the last coat counts":    {[]shadebook.Coat{coat(1, 0, &cold), coat(2, 10, nil)}, at(21), 2, at(22)},
		"a later coat does not":   {[]shadebook.Coat{coat(1, 0, nil), coat(2, 30, nil)}, at(29), 1, time.Time{}},
		"noted in another order":  {[]shadebook.Coat{coat(1, 24, nil), coat(2, 0, nil)}, at(30), 2, at(36)},
		"nobody knows when":       {[]shadebook.Coat{{Number: 1}}, noon, 1, time.Time{}},
		"one known, one unknown":  {[]shadebook.Coat{coat(1, 0, nil), {Number: 2}}, at(1), 2, at(12)},
		"some not noted":          {[]shadebook.Coat{coat(3, 0, nil)}, at(13), 3, time.Time{}},
		"laid at the same moment": {[]shadebook.Coat{coat(1, 0, nil), coat(2, 0, &cold)}, at(13), 2, at(24)},
	} {
		has := 0
		if _, highest := before(k.coats, k.taken); highest != nil {
			has = highest.Number
		}
		if has != k.has {
			t.Errorf("%s: up to coat %d, wanted %d", name, has, k.has)
		}
		d := dampAt(c, k.coats, k.taken)
		if (d != nil) != !k.dry.IsZero() || d != nil && !d.dry.Equal(k.dry) {
			t.Errorf("%s: %+v, wanted dry at %v", name, d, k.dry)
		}
	}
}
