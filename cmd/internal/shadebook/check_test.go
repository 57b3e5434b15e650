package shadebook

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestChecks(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		for _, name := range []string{"Oxblood", "Tan"} {
			must(b.AddColour(ctx, name, DefaultSettings()))(t)
		}
		must(b.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood", By: "Ana"}))(t)
		must(b.AddBottle(ctx, Bottle{Name: "b1"}))(t)

		c, e := aCheckOf("strap 1.jpg", "", "May", 3)
		added := must(b.AddCheck(ctx, c, e))(t)
		if added.Colour != "Oxblood" || added.Pieces[2].PieceID == 0 || c.Pieces[2].PieceID != 0 {
			t.Errorf("added %+v", added)
		}
		if diff := cmp.Diff(added, must(b.CheckWithID(ctx, added.ID))(t)); diff != "" {
			t.Error(diff)
		}
		got := must(b.Evidence(ctx, added.ID))(t)
		if want := `{"file":"<strap 1.jpg>","é":[1,2.50]}`; string(got.Result) != want || string(got.Picture) != string(e.Picture) {
			t.Errorf("evidence %q, %q", got.Result, got.Picture)
		}

		// The same photo: refused in its batch, whatever its name is now, and taken elsewhere.
		c.Photo.File = "copy.jpg"
		if _, err := b.AddCheck(ctx, c, e); !errors.Is(err, ErrStored) {
			t.Errorf("the same photo in its batch: %v", err)
		}
		loose := c
		loose.Batch, loose.Colour = "", "Oxblood"
		must(b.AddCheck(ctx, loose, e))(t)
		if _, err := b.AddCheck(ctx, loose, e); !errors.Is(err, ErrStored) {
			t.Errorf("the same photo loose: %v", err)
		}
		loose.Colour = "Tan"
		if _, err := b.AddCheck(ctx, loose, e); !errors.Is(err, ErrRefused) {
			t.Errorf("pieces of another colour: %v", err)
		}
		must(b.OpenBatch(ctx, Batch{Name: "June", Colour: "Oxblood"}))(t)
		other := c
		other.Batch = "June"
		if _, err := b.AddCheck(ctx, other, e); !errors.Is(err, ErrRefused) {
			t.Errorf("pieces of another batch: %v", err)
		}
		c.Colour = "Tan"
		if _, err := b.AddCheck(ctx, c, e); !errors.Is(err, ErrRefused) {
			t.Errorf("a batch of another colour: %v", err)
		}

		dabs, e := aCheckOf("dabs.jpg", "", "", 2)
		dabs.Kind, dabs.Bottle = OfBottle, "b1"
		if got := must(b.AddCheck(ctx, dabs, e))(t); got.Pieces[0].PieceID != 0 {
			t.Error("a dab became a piece")
		}
		later := dabs
		later.Photo.SHA256 = strings.Repeat("7", 64)
		must(b.AddCheck(ctx, later, e))(t)
		if got := must(b.BottleChecks(ctx, "b1", OfBottle))(t); len(got) != 2 || got[0].Photo != later.Photo || len(got[0].Pieces) != 2 {
			t.Errorf("checks of the bottle: %+v", got)
		}
		wantRows(t, b, "piece", 3)
		if checks := must(b.PieceChecks(ctx, "strap 1.jpg/1"))(t); len(checks) != 2 || checks[1].ID != added.ID || len(checks[0].Pieces) != 3 {
			t.Errorf("checks of the piece: %+v", checks)
		}
		want := map[string]int64{added.Photo.SHA256: added.ID}
		if diff := cmp.Diff(want, must(b.StoredPhotos(ctx, "May", ""))(t)); diff != "" {
			t.Error(diff)
		}
	})
}

func TestCorrections(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		must(b.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood"}))(t)
		add := func(file string, corrects int64) (Check, error) {
			c, e := aCheckOf(file, "Oxblood", "May", 1)
			c.Corrects = corrects
			return b.AddCheck(ctx, c, e)
		}
		bad, other := must(add("bad", 0))(t), must(add("other", 0))(t)
		good := must(add("good", bad.ID))(t)
		again := must(add("good", good.ID))(t) // judged again, with other options
		if _, err := add("third", bad.ID); !errors.Is(err, ErrNoRecord) {
			t.Errorf("corrected twice: %v", err)
		}
		if _, err := add("other", again.ID); !errors.Is(err, ErrStored) {
			t.Errorf("by a photo that counts already: %v", err)
		}
		if _, err := add("bad", 0); !errors.Is(err, ErrStored) {
			t.Errorf("the corrected photo again: %v", err)
		}
		r := must(b.BatchResult(ctx, "May"))(t)
		if len(r.Checks) != 2 || r.Checks[0].ID != other.ID || r.Checks[1].ID != again.ID {
			t.Errorf("the batch counts %+v", r.Checks)
		}
		if got := must(b.PieceChecks(ctx, bad.Pieces[0].Name))(t); len(got) != 0 {
			t.Errorf("the piece in the corrected check counts %+v", got)
		}
		s := must(b.ColourSummary(ctx, "Oxblood", 1))(t)
		if len(s.Checks) != 1 || s.Checks[0].ID != again.ID || s.Verdicts["retake"] != 2 || len(s.History) != 1 {
			t.Errorf("the colour's summary is %+v", s)
		}
	})
}

// Many that store the same photo at once store it once.
func TestSamePhotoAtOnce(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		var wg sync.WaitGroup
		errs := make([]error, 8)
		for i := range errs {
			mine := open(t, address)
			wg.Go(func() {
				c, e := aCheckOf("a.jpg", "Oxblood", "", 3)
				_, errs[i] = mine.AddCheck(ctx, c, e)
			})
		}
		wg.Wait()
		stored := 0
		for _, err := range errs {
			if err == nil {
				stored++
			} else if !errors.Is(err, ErrStored) {
				t.Error(err)
			}
		}
		if stored != 1 {
			t.Errorf("stored %d times", stored)
		}
		wantRows(t, b, "photo_check", 1)
		wantRows(t, b, "check_piece", 3)
	})
}

// What a book holds cannot be changed behind its back by a slip.
func TestAppendOnly(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		b := filled(t, address)
		for _, table := range tables() {
			if table.name == "piece" || table.name == "shadebook" {
				continue
			}
			column := table.columns[0].name
			for _, slip := range []string{"UPDATE " + table.name + " SET " + column + " = " + column, "DELETE FROM " + table.name} {
				if _, err := b.db.Exec(slip); err == nil || !strings.Contains(err.Error(), "keeps what is written") {
					t.Errorf("%s: %v", slip, err)
				}
			}
		}
	})
}
