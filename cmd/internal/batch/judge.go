package batch

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Judging is what the pieces of a batch are judged by: the colour's settings now, or
// when the batch was decided on.
type Judging struct {
	shadebook.State
	Since   time.Time // from when their limits count
	Anew    bool      // photos may have been checked by other limits
	OtherKL int       // photos that were checked with another kL, which cannot be judged anew
}

// Judge judges the pieces of held by the settings that count. history are those that
// the batch's colour has had, newest first.
func Judge(ctx context.Context, b *shadebook.Book, held *shadebook.BatchResult, history []shadebook.State) (by Judging, err error) {
	if len(history) == 0 { // an import may hold anything
		return by, refusal.New(shadebook.ErrNoRecord, "the book was filled from an incomplete export: import a whole one", "the colour %q has no settings in the book", held.Batch.Colour)
	}
	if n := len(held.Decisions); held.Batch.State != shadebook.BatchOpen && n > 0 {
		history = since(history, held.Decisions[n-1].At)
	}
	by.State = history[0]
	lim := limits(by.State)
	for _, s := range history {
		if by.Anew = limits(s) != lim; by.Anew {
			break
		}
		if by.Since = s.At; !s.At.After(held.Batch.Opened) {
			break
		}
	}
	for i := range held.Checks {
		c := &held.Checks[i]
		checkedBy := since(history, c.Stored)[0]
		if checkedBy.KL != by.KL && len(c.Pieces) > 0 {
			by.OtherKL++
		}
		if by.Anew && len(c.Pieces) > 0 {
			if err := judge(ctx, b, c, colour.Weights{KL: checkedBy.KL, KC: 1, KH: 1}, lim); err != nil {
				return by, err
			}
		}
	}
	return by, nil
}

func limits(s shadebook.State) tolerance.Limits {
	return tolerance.Limits{DE: s.Tolerance, Blotch: s.BlotchTolerance}
}

// since returns the settings that counted at a moment and those before; the first ones
// for a moment before all.
func since(history []shadebook.State, at time.Time) []shadebook.State {
	for len(history) > 1 && history[0].At.After(at) {
		history = history[1:]
	}
	return history
}

// judge judges the pieces of a check.
func judge(ctx context.Context, b *shadebook.Book, c *shadebook.Check, w colour.Weights, lim tolerance.Limits) error {
	e, err := b.Evidence(ctx, c.ID)
	if err != nil {
		return err
	}
	var photo report.Photo
	if err := json.Unmarshal(e.Result, &photo); err != nil {
		return fmt.Errorf("the result of check %d: %w", c.ID, err)
	}
	for i := range c.Pieces {
		if piece := photo.Numbered(c.Pieces[i].Number); piece != nil && photo.Reference != nil {
			verdict, _ := record.Judge(*piece, *photo.Reference, w, lim)
			c.Pieces[i].Verdict = string(verdict)
		}
	}
	return nil
}

// Tell has the report say what its pieces were judged by.
func (by Judging) Tell(out *report.Batch) {
	out.Tolerance, out.BlotchTolerance = by.Tolerance, by.BlotchTolerance
	if by.Anew {
		out.JudgedSince = report.Time(by.Since)
	}
	if by.OtherKL > 0 && out.State == shadebook.BatchOpen {
		out.Next = append(out.Next, fmt.Sprintf(
			"kL is %.4g now: drop the photos that were checked with another (%d), and check each again by its name", by.KL, by.OtherKL))
	}
}
