package bottles

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/tolerance"
)

// bench is a book with bottles of dyes.
func bench(t *testing.T, dyes map[string]string) (context.Context, *shadebook.Book) {
	t.Helper()
	ctx := context.Background()
	b, err := shadebook.OpenOrBegin(ctx, filepath.Join(t.TempDir(), "book.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	for name, dye := range dyes {
		if _, err := b.AddBottle(ctx, shadebook.Bottle{Name: name, Dye: dye}); err != nil {
			t.Fatal(err)
		}
	}
	return ctx, b
}

// store keeps c with its result as from a photo of its own.
func store(ctx context.Context, t *testing.T, b *shadebook.Book, c shadebook.Check, whole any) {
	t.Helper()
	e, err := record.Evidence(whole, nil)
	if err == nil {
		_, err = b.AddCheck(ctx, c, e)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func photo(n int) shadebook.PhotoFile {
	return shadebook.PhotoFile{File: fmt.Sprint(n), SHA256: fmt.Sprintf("%064d", n)}
}

// checked stores a check of a bottle on a day of March, known to ± 3 %.
func checked(ctx context.Context, t *testing.T, b *shadebook.Book, bottle string, day int, strength float64, v tolerance.Verdict) {
	d := report.Dab{Name: bottle, Verdict: v, Strength: report.Strength{Depth: report.Depth{Strength: strength, Interval: [2]float64{strength - .03, strength + .03}}}}
	whole := report.Dabs{Taken: time.Date(2026, 3, day, 9, 0, 0, 0, time.Local).Format(time.RFC3339), Dabs: []report.Dab{d}}
	store(ctx, t, b, record.Bottle(whole, d, photo(day)), whole)
}

func TestFallingOfChecks(t *testing.T) {
	type is struct {
		day      int
		strength float64
		verdict  tolerance.Verdict
	}
	for name, c := range map[string]struct {
		checks []is
		by     float64 // 0: does not fall
		since  string
	}{
		"none":                 {nil, 0, ""},
		"slowly":               {[]is{{1, 1, "use"}, {8, .97, "use"}, {15, .94, "use"}, {22, .91, "look again"}}, .09, "2026-03-01"},
		"stored out of order":  {[]is{{22, .91, "look again"}, {1, 1, "use"}, {8, .97, "use"}, {15, .94, "use"}}, .09, "2026-03-01"},
		"thinned":              {[]is{{1, 1.3, "thin"}, {8, 1, "use"}, {15, .99, "use"}}, 0, ""},
		"after it was thinned": {[]is{{1, 1.3, "thin"}, {8, 1, "use"}, {15, .9, "use"}}, .1, "2026-03-08"},
		"shaken":               {[]is{{1, 1, "use"}, {8, .8, "shake and dab again"}, {15, 1, "use"}}, 0, ""},
		"not measured":         {[]is{{1, 1, "use"}, {8, 0, "retake"}}, 0, ""},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, b := bench(t, map[string]string{"b 1": ""})
			for _, i := range c.checks {
				checked(ctx, t, b, "b 1", i.day, i.strength, i.verdict)
			}
			got, err := Show(ctx, b, "b 1")
			if err != nil || len(got.Checks) != len(c.checks) {
				t.Fatalf("%+v, %v", got, err)
			}
			if f := got.Falling; (f != nil) != (c.by > 0) || f != nil && (f.By < c.by-1e-9 || f.By > c.by+1e-9 || f.Since[:10] != c.since) {
				t.Errorf("falling %+v", f)
			}
			newer := time.Date(2026, 4, 1, 0, 0, 0, 0, time.Local)
			for i, k := range got.Checks {
				if k.When.After(newer) {
					t.Errorf("check %d is newer than the one before it", i)
				}
				newer = k.When
			}
		})
	}
}

// A bottle's own ladder goes first, the newest one; then the newest of its dye.
func TestWhichLadder(t *testing.T) {
	ctx, b := bench(t, map[string]string{"old": "Tan", "new": " tan", "third": "Tan", "other": "Navy", "unnamed": "", "blank": ""})
	ladder := func(bottle string, n int, top float64) {
		rung := func(part, s float64) report.Rung {
			return report.Rung{Part: part, U: .04, Strength: report.Strength{Depth: report.Depth{Strength: s}}}
		}
		l := report.Ladder{Taken: time.Date(2026, 3, n, 9, 0, 0, 0, time.Local).Format(time.RFC3339), Rungs: []report.Rung{rung(1, top), rung(.5, top/2)}}
		store(ctx, t, b, record.Ladder(l, bottle, photo(n)), l)
	}
	ladder("old", 1, 1.1)
	ladder("old", 2, 1.2)
	ladder("new", 3, 1.3)
	ladder("unnamed", 4, 1.4)
	for bottle, want := range map[string]struct {
		top  float64
		told string
	}{
		"old": {1.2, "the bottle's ladder of 2026-03-02"}, "new": {1.3, "the bottle's ladder of 2026-03-03"},
		"third":   {1.3, "the ladder of new, the same dye, of 2026-03-03"},
		"unnamed": {1.4, "the bottle's ladder of 2026-03-04"}, "other": {}, "blank": {},
	} {
		record, err := b.BottleNamed(ctx, bottle)
		if err != nil {
			t.Fatal(err)
		}
		got, err := ladderFor(ctx, b, record)
		switch {
		case err != nil:
			t.Errorf("%s: %v", bottle, err)
		case got == nil && want.told != "", got != nil && (got.Told != want.told || got.Strongest() != want.top):
			t.Errorf("%s is thinned by %+v", bottle, got)
		}
	}
	if _, err := ShowDye(ctx, b, "Green"); !errors.Is(err, shadebook.ErrNoRecord) {
		t.Errorf("a dye that there is not: %v", err)
	}
	if got, err := ShowDye(ctx, b, "TAN"); err != nil || len(got.Bottles) != 3 {
		t.Errorf("%+v, %v", got, err)
	}
}
