// Package coats tells from a piece's coats and kept checks how many more coats it
// needs, and which photos show it before it was dry.
package coats

import (
	"context"
	"errors"
	"fmt"
	"time"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/dye"
	"evenhide/colour/tolerance"
)

// damp says why a photo may show damp leather, and when it is dry.
type damp struct {
	reason string
	dry    time.Time
}

func (d *damp) hint() string {
	return fmt.Sprintf("take the photo again after %s", d.dry.Local().Format("2006-01-02 15:04"))
}

// before returns the last coat laid before the photo, and that of the highest number;
// nil for a bare piece. A coat of which nobody knows when was laid before all photos, and
// one noted by its day alone before all of that day.
func before(coats []shadebook.Coat, taken time.Time) (last, highest *shadebook.Coat) {
	for i, c := range coats {
		if c.When.After(taken) {
			continue
		}
		highest = &coats[i] // they come by number
		if last == nil || !c.When.Before(last.When) || c.DayAlone() && c.SameDay(*last) {
			last = &coats[i]
		}
	}
	return last, highest
}

// evening is when a coat counts as laid of which only the day was noted: work mostly ends
// by then (common practice, no source).
const evening = 18 * time.Hour

// from returns when a coat's drying counts from: of one noted by its day alone from the
// evening, or from a coat of a lower number that was laid later that day.
func from(c shadebook.Coat, coats []shadebook.Coat) time.Time {
	if !c.DayAlone() {
		return c.When
	}
	laid := c.When.Add(evening)
	for _, o := range coats {
		if o.Number < c.Number && o.SameDay(c) && o.When.After(laid) {
			laid = o.When
		}
	}
	return laid
}

// dampAt tells whether a photo was taken before the last coat was dry; nil when not.
func dampAt(c shadebook.Colour, coats []shadebook.Coat, taken time.Time) *damp {
	last, _ := before(coats, taken)
	if last == nil || last.When.IsZero() {
		return nil
	}
	wanted := dye.DryingHours(c.DryingHours, last.Temperature)
	laid := from(*last, coats)
	since := taken.Sub(laid).Hours()
	if since >= wanted {
		return nil
	}
	why := fmt.Sprintf("taken %.1f h after coat %d, wanted %.0f h", since, last.Number, wanted)
	if last.DayAlone() {
		why = fmt.Sprintf("coat %d counts from %s of its day, wanted %.0f h", last.Number, laid.Local().Format("15:04"), wanted)
	}
	if wanted > c.DryingHours {
		why += fmt.Sprintf(" at %.4g °C", *last.Temperature)
	}
	return &damp{"may be damp; damp leather reads 6 to 10 L* darker: " + why, laid.Add(time.Duration(wanted * float64(time.Hour)))}
}

// Guard returns what overrules the verdicts on pieces that may be damp: those called
// names, in reading order, of a colour. taken, unless zero, is when the photo was
// taken, whatever its file says; without either a piece with coats is refused.
func Guard(ctx context.Context, b *shadebook.Book, c shadebook.Colour, names []string, taken time.Time) func(*report.Photo) error {
	return func(p *report.Photo) error {
		if !taken.IsZero() {
			p.Taken = report.Time(taken)
		}
		at, _ := time.Parse(time.RFC3339, p.Taken) // zero when nothing says
		for i, piece := range p.Whole() {
			if i >= len(names) {
				break
			}
			coats, err := b.Coats(ctx, names[i])
			switch {
			case errors.Is(err, shadebook.ErrNoRecord) || err == nil && len(coats) == 0:
				continue
			case err != nil:
				return err
			case at.IsZero():
				return refusal.New(nil, "say when with --taken \"2026-03-10 14:30\"",
					"no telling whether %s is dry: the photo does not say when it was taken", names[i])
			}
			if d := dampAt(c, coats, at); d != nil {
				piece.Verdict, piece.Reasons, piece.Hint = tolerance.Retake, []string{d.reason}, d.hint()
			}
		}
		return nil
	}
}
