package blends

import (
	"context"
	"encoding/json"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
)

// A ladder stands in for a dab. One that was kept without its bare hide does not, and
// is not said to be missing.
func TestKeptLadder(t *testing.T) {
	for name, c := range map[string]struct {
		ladder *report.Ladder
		want   string // of the error; "" is none
	}{
		"none":         {nil, `no dab of the bottle "Tan" is kept`},
		"without hide": {&report.Ladder{File: "may.jpg", Rungs: []report.Rung{{Part: 1}}}, `the ladder of the bottle "Tan", from may.jpg, was kept by an earlier evenhide`},
		"with hide":    {&report.Ladder{File: "may.jpg", HideLab: [3]float64{70, 8, 24}, Rungs: []report.Rung{{Part: 1}, {Part: .5}}}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := Kept(t.Context(), withLadder(t, c.ladder), "Tan")
			if c.want != "" {
				if !errors.Is(err, shadebook.ErrNoRecord) || !strings.HasPrefix(err.Error(), c.want) {
					t.Errorf("%v, wanted %s", err, c.want)
				}
				return
			}
			if err != nil || got.HideLab != c.ladder.HideLab || len(got.Dabs) != 2 || got.Dabs[1].Part != .5 {
				t.Errorf("%+v, %v", got, err)
			}
		})
	}
}

// What the readings of a ladder share, and its light, are kept and come back; of one that
// was kept without they are none.
func TestKeptLadderKnowsWhatItsReadingsShare(t *testing.T) {
	cov := colour.Diagonal(1, 2, 3)
	l := &report.Ladder{File: "may.jpg", Light: "window", HideLab: [3]float64{70, 8, 24},
		HideDoubt: report.HideDoubt{HideCov: cov, HideShared: report.Shared{{1, 2, 3}}, HideLit: .9},
		Rungs:     []report.Rung{{Part: 1, Shared: report.Shared{{4, 5, 6}}, Lit: .8}}}
	got, err := Kept(t.Context(), withLadder(t, l), "Tan")
	if err != nil || got.Light != "window" || got.HideCov != cov || got.HideShared[0] != [3]float64{1, 2, 3} || got.HideLit != .9 || got.Dabs[0].Lit != .8 || got.Dabs[0].Shared[0] != [3]float64{4, 5, 6} {
		t.Errorf("%+v, %v", got, err)
	}
	l.HideShared, l.Rungs[0].Shared = nil, nil
	got, err = Kept(t.Context(), withLadder(t, l), "Tan")
	if err != nil || shared(got.HideShared) != nil || shared(got.Dabs[0].Shared) != nil {
		t.Errorf("%+v, %v", got, err)
	}
}

// withLadder returns a book with the bottle Tan, and a ladder of it unless that is nil.
func withLadder(t *testing.T, l *report.Ladder) *shadebook.Book {
	t.Helper()
	ctx := context.Background()
	b, err := shadebook.OpenOrBegin(ctx, filepath.Join(t.TempDir(), "book.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	if _, err := b.AddBottle(ctx, shadebook.Bottle{Name: "Tan", Dye: "Tan"}); err != nil {
		t.Fatal(err)
	}
	if l == nil {
		return b
	}
	result, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	c := shadebook.Check{Kind: shadebook.OfLadder, Bottle: "Tan", Photo: shadebook.PhotoFile{File: l.File, SHA256: strings.Repeat("ab", 32)}}
	if _, err := b.AddCheck(ctx, c, shadebook.Evidence{Result: result}); err != nil {
		t.Fatal(err)
	}
	return b
}
