package batch

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Judging is what the pieces of a batch were judged, and by what: the colour's settings
// now, or those of the decision on it.
type Judging struct {
	shadebook.State
	Verdicts []shadebook.Verdicts
	Kept     bool      // with the decision
	Since    time.Time // from when the limits count
	Anew     bool      // photos may have been checked by other limits
	OtherKL  int       // photos that were checked with another kL, which cannot be judged anew
}

// Judge returns what was decided on held. Of a batch that is open, or was decided on
// before that was kept, it judges the pieces by the settings that count. history are
// those that the batch's colour has had and swatches its kept ones, newest first.
func Judge(ctx context.Context, b *shadebook.Book, held *shadebook.BatchResult, history []shadebook.State, swatches []shadebook.Swatch) (by Judging, err error) {
	if held.Batch.State != shadebook.BatchOpen && len(held.Decisions) > 0 {
		last := held.Decisions[len(held.Decisions)-1]
		by.Verdicts, by.Kept = last.Verdicts, last.StateID != 0
		if by.Kept {
			history = slices.DeleteFunc(slices.Clone(history), func(s shadebook.State) bool { return s.ID != last.StateID })
		} else {
			history = since(history, last.At)
			swatches = slices.DeleteFunc(slices.Clone(swatches), func(s shadebook.Swatch) bool { return s.Kept.After(last.At) })
		}
	}
	if len(history) == 0 { // an import may hold anything
		return by, refusal.New(shadebook.ErrNoRecord, "the book was filled from an incomplete export: import a whole one", "the colour %q has no settings in the book", held.Batch.Colour)
	}
	by.State = history[0]
	if by.Kept {
		return by, nil
	}
	if err := by.judgeAll(ctx, b, held, history); err != nil {
		return by, err
	}
	var swatch *colour.Lab
	if len(swatches) > 0 {
		swatch = &swatches[0].Lab
	}
	by.Verdicts = Verdicts(*held, swatch)
	return by, nil
}

// judgeAll judges pieces anew where other limits may have counted when they were checked.
func (by *Judging) judgeAll(ctx context.Context, b *shadebook.Book, held *shadebook.BatchResult, history []shadebook.State) error {
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
				return err
			}
		}
	}
	return nil
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
	out.Tolerance, out.BlotchTolerance, out.AsDecided = by.Tolerance, by.BlotchTolerance, by.Kept
	if by.Anew {
		out.JudgedSince = report.Time(by.Since)
	}
	if by.OtherKL > 0 && out.State == shadebook.BatchOpen {
		out.Next = append(out.Next, fmt.Sprintf(
			"kL is %.4g now: drop the photos that were checked with another (%d), and check each again by its name", by.KL, by.OtherKL))
	}
}
