package shadebook

import (
	"context"
	"errors"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A dropped photo counts nowhere, is on record, and may be taken back.
func TestDropPhoto(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		for _, batch := range []string{"May", "June"} {
			must(b.OpenBatch(ctx, Batch{Name: batch, Colour: "Oxblood"}))(t)
		}
		add := func(file string, corrects int64) (Check, error) {
			c, e := aCheckOf(file, "", "May", 2)
			c.Corrects = corrects
			return b.AddCheck(ctx, c, e)
		}
		held := func() BatchResult { return must(b.BatchResult(ctx, "May"))(t) }
		drop := func(check int64) (Drop, error) {
			return b.DropPhoto(ctx, "May", Drop{Check: check, By: "Ben", Why: "of June"})
		}
		kept, stray := must(add("kept", 0))(t), must(add("stray", 0))(t)
		before := held().Moves
		dropped := must(drop(stray.ID))(t)
		if r := held(); len(r.Checks) != 1 || r.Checks[0].ID != kept.ID || dropped.Photo != stray.Photo {
			t.Errorf("the batch holds %+v after %+v", r.Checks, dropped)
		} else if diff := cmp.Diff([]Drop{dropped}, r.Dropped); diff != "" {
			t.Error(diff)
		}
		if _, err := b.Decide(ctx, Decision{Batch: "May", Says: Approved}, before); !errors.Is(err, ErrMoved) {
			t.Errorf("a photo was dropped while somebody decided: %v", err)
		}
		if s := must(b.ColourSummary(ctx, "Oxblood", 10))(t); len(s.Checks) != 1 || s.Verdicts["ship"] != 1 {
			t.Errorf("the colour shows %d checks, %v", len(s.Checks), s.Verdicts)
		}
		if n := len(must(b.PieceChecks(ctx, "stray/1"))(t)); n != 0 {
			t.Errorf("the piece shows %d checks", n)
		}
		for name, try := range map[string]func() error{
			"twice":      func() error { _, err := drop(stray.ID); return err },
			"no check":   func() error { _, err := drop(99); return err },
			"in another": func() error { _, err := b.DropPhoto(ctx, "June", Drop{Check: kept.ID}); return err },
			"no batch":   func() error { _, err := b.DropPhoto(ctx, "July", Drop{Check: kept.ID}); return err },
		} {
			if err := try(); !errors.Is(err, ErrNoRecord) {
				t.Errorf("%s: %v", name, err)
			}
		}
		if _, err := add("stray", 0); !errors.Is(err, ErrStored) {
			t.Errorf("checked again as if it were new: %v", err)
		}
		back := must(add("stray", stray.ID))(t)
		if r := held(); len(r.Checks) != 2 || len(r.Dropped) != 0 || r.Before[back.ID] != 2 {
			t.Errorf("taken back: %+v", r)
		}

		// It takes the place of another photo, and then none is missing.
		must(drop(back.ID))(t)
		wrong := must(add("stray", kept.ID))(t)
		if r := held(); len(r.Checks) != 1 || len(r.Dropped) != 0 {
			t.Errorf("in another's place: %+v", r)
		}

		// And is dropped from there: the other may have its place again.
		must(drop(wrong.ID))(t)
		if r := held(); len(r.Checks) != 0 || len(r.Dropped) != 1 || !slices.Equal(r.Dropped[0].Over, []string{sha("kept")}) || r.Dropped[0].Replaced {
			t.Errorf("dropped from another's place: %+v", r)
		}
		must(add("kept", wrong.ID))(t)
		if r := held(); len(r.Checks) != 1 || len(r.Dropped) != 1 || !r.Dropped[0].Replaced {
			t.Errorf("the other again: %+v", r)
		}
		must(b.Decide(ctx, Decision{Batch: "May", Says: Approved}, held().Moves))(t)
		if _, err := drop(held().Checks[0].ID); !errors.Is(err, ErrDecided) {
			t.Errorf("from an approved batch: %v", err)
		}
	})
}
