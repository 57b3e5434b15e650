package batch

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
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
		got, err := Judge(context.Background(), nil, &held, c.history, nil)
		got.State, got.Verdicts = shadebook.State{}, nil
		if diff := cmp.Diff(c.want, got); diff != "" || err != nil {
			t.Errorf("%s: %s%v", name, diff, err)
		}
	}
}

// What was decided on is shown, whatever was changed since and whatever the clocks of the
// benches said; no evidence is looked for, so no book is needed.
func TestWhatWasDecidedOnStays(t *testing.T) {
	at := func(hour int) time.Time { return time.Date(2026, 3, 1, hour, 0, 0, 0, time.UTC) }
	state := func(id int64, hour int, tolerance float64) shadebook.State {
		s := shadebook.State{ID: id, At: at(hour), Settings: shadebook.DefaultSettings()}
		s.Tolerance = tolerance
		return s
	}
	history := []shadebook.State{state(3, 9, 1), state(2, 15, 6), state(1, 1, 2)} // of benches whose clocks are hours apart
	held := belts()
	held.Batch.State = shadebook.Approved
	verdicts := Verdicts(held, nil)
	verdicts[0].Pieces[2].Verdict = "ship" // which the figures of a/3 do not give
	verdicts[2].Why = "no card"
	held.Decisions = []shadebook.Decision{{Says: shadebook.Approved, At: at(12), StateID: 2, Verdicts: verdicts}}
	by, err := Judge(context.Background(), nil, &held, history, []shadebook.Swatch{{Kept: at(11), Lab: colour.Lab{L: 90}}})
	if err != nil || by.Tolerance != 6 || !by.Kept || by.Anew {
		t.Fatalf("%+v, %v", by, err)
	}
	b := Sum(held, by.Verdicts, 1, colour.UnitWeights())
	by.Tell(&b)
	if b.Count["ship"] != 4 || b.Pieces[2].Verdict != "ship" || len(b.NotJudged) != 1 || b.NotJudged[0].Why != "no card" || !b.AsDecided || b.Tolerance != 6 {
		t.Errorf("%+v", b)
	}
	// Decided on before that was kept: judged as it was checked, which is said.
	held.Decisions[0].StateID, held.Decisions[0].Verdicts = 0, nil
	if by, err = Judge(context.Background(), nil, &held, history[2:], nil); err != nil {
		t.Fatal(err)
	}
	b = Sum(held, by.Verdicts, 1, colour.UnitWeights())
	by.Tell(&b)
	var text strings.Builder
	if err := b.WriteText(&text); err != nil || b.AsDecided || b.Count["ship"] != 3 || !strings.Contains(text.String(), "its verdicts were not kept then; worked out again by the tolerances: ΔE00 2, blotch 1.5\n") {
		t.Errorf("%v: %s", err, &text)
	}
	held.Decisions[0].StateID = 9
	if _, err := Judge(context.Background(), nil, &held, history, nil); !errors.Is(err, shadebook.ErrNoRecord) {
		t.Errorf("settings of another colour: %v", err)
	}
}

func TestAColourWithoutSettingsIsRefused(t *testing.T) {
	if _, err := Judge(context.Background(), nil, &shadebook.BatchResult{}, nil, nil); !errors.Is(err, shadebook.ErrNoRecord) {
		t.Errorf("%v", err)
	}
}
