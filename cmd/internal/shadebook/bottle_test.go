package shadebook

import (
	"context"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// What is kept of a bottle's dabs is kept once for each bottle and each thing that it
// tells, and comes back newest first with its result.
func TestBottleChecks(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		for typed := range oddNames {
			must(b.AddBottle(ctx, Bottle{Name: typed, Dye: "Tan"}))(t)
		}
		add := func(kind, bottle, file string) (Check, error) {
			c, e := aCheckOf(file, "", "", 2)
			c.Kind, c.Bottle = kind, bottle
			return b.AddCheck(ctx, c, e)
		}
		for typed, name := range oddNames {
			first := must(add(OfBottle, typed, "may.jpg"))(t)
			ladder := must(add(OfLadder, typed, "may.jpg"))(t)
			must(add(OfDabs, typed, "may.jpg"))(t)
			second := must(add(OfBottle, name, "june.jpg"))(t)
			if _, err := add(OfBottle, typed, "may.jpg"); !errors.Is(err, ErrStored) {
				t.Errorf("%q: the same photo: %v", name, err)
			}
			if first.Bottle != name || first.Pieces[0].PieceID != 0 {
				t.Errorf("%q is kept as %+v", name, first)
			}
			got := must(b.BottleChecks(ctx, typed, OfBottle))(t)
			if len(got) != 2 {
				t.Fatalf("%q has %d checks", name, len(got))
			}
			for i, want := range []Check{second, first} {
				if diff := cmp.Diff(want, got[i].Check); diff != "" {
					t.Errorf("%q: %s", name, diff)
				}
				if want := `{"file":"<` + want.Photo.File + `>","é":[1,2.50]}`; string(got[i].Result) != want {
					t.Errorf("%q has the result %s", name, got[i].Result)
				}
			}
			if got := must(b.BottleChecks(ctx, typed, OfLadder))(t); len(got) != 1 || got[0].ID != ladder.ID {
				t.Errorf("%q has the ladders %+v", name, got)
			}
		}
		if _, err := add(OfBottle, "none", "may.jpg"); !errors.Is(err, ErrNoRecord) {
			t.Errorf("a bottle that there is not: %v", err)
		}
		if _, err := b.BottleChecks(ctx, "none", OfBottle); !errors.Is(err, ErrNoRecord) {
			t.Errorf("checks of a bottle that there is not: %v", err)
		}
		if _, err := add(OfLadder, "", "may.jpg"); !errors.Is(err, ErrRefused) {
			t.Errorf("a ladder of no bottle: %v", err)
		}
		wantRows(t, b, "piece", 0)
		wantRows(t, b, "photo_check", 4*len(oddNames))
		wantRows(t, b, "check_evidence", 4*len(oddNames))
	})
}
