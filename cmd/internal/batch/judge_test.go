package batch

import (
	"context"
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"evenhide/cmd/internal/shadebook"
)

// Photos are judged anew only where other limits may have counted for them.
func TestLimitsThatCount(t *testing.T) {
	at := func(hour int) time.Time { return time.Date(2026, 3, 1, hour, 0, 0, 0, time.UTC) }
	state := func(hour int, tolerance, kl float64) shadebook.State {
		s := shadebook.State{At: at(hour), Settings: shadebook.DefaultSettings()}
		s.Tolerance, s.KL = tolerance, kl
		return s
	}
	const opened = 10
	for name, c := range map[string]struct {
		history []shadebook.State // newest first
		decided int               // 0: not
		want    Judging
	}{
		"never changed":             {[]shadebook.State{state(1, 2, 1)}, 0, Judging{Since: at(1)}},
		"changed before":            {[]shadebook.State{state(9, 3, 1), state(1, 2, 1)}, 0, Judging{Since: at(9)}},
		"changed after":             {[]shadebook.State{state(11, 3, 1), state(1, 2, 1)}, 0, Judging{Since: at(11), Anew: true}},
		"and something else later":  {[]shadebook.State{state(13, 3, 1), state(11, 3, 1), state(1, 2, 1)}, 0, Judging{Since: at(11), Anew: true}},
		"and back":                  {[]shadebook.State{state(13, 2, 1), state(11, 3, 1), state(1, 2, 1)}, 0, Judging{Since: at(13), Anew: true}},
		"before the decision":       {[]shadebook.State{state(11, 3, 1), state(1, 2, 1)}, 12, Judging{Since: at(11), Anew: true}},
		"after the decision":        {[]shadebook.State{state(13, 3, 2), state(1, 2, 1)}, 12, Judging{Since: at(1)}},
		"kL":                        {[]shadebook.State{state(13, 2, 2), state(1, 2, 1)}, 0, Judging{Since: at(1), OtherKL: 1}},
		"kL, before the photo":      {[]shadebook.State{state(11, 2, 2), state(1, 2, 1)}, 0, Judging{Since: at(1)}},
		"of a colour added the day": {[]shadebook.State{state(10, 2, 1)}, 0, Judging{Since: at(10)}},
	} {
		// Its evidence is not looked for where nothing is judged anew, so no book is needed.
		held := shadebook.BatchResult{Batch: shadebook.Batch{State: shadebook.BatchOpen, Opened: at(opened)}}
		if !c.want.Anew {
			held.Checks = []shadebook.Check{{Stored: at(12), Pieces: make([]shadebook.Judged, 1)}}
		}
		if c.decided > 0 {
			held.Batch.State, held.Decisions = shadebook.Approved, []shadebook.Decision{{At: at(c.decided)}}
		}
		got, err := Judge(context.Background(), nil, &held, c.history)
		got.State = shadebook.State{}
		if diff := cmp.Diff(c.want, got); diff != "" || err != nil {
			t.Errorf("%s: %s%v", name, diff, err)
		}
	}
}

func TestAColourWithoutSettingsIsRefused(t *testing.T) {
	if _, err := Judge(context.Background(), nil, &shadebook.BatchResult{}, nil); !errors.Is(err, shadebook.ErrNoRecord) {
		t.Errorf("%v", err)
	}
}
