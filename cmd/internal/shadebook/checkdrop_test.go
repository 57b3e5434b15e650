package shadebook

import (
	"context"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"evenhide/calibrate/refusal"
)

// A dropped check of a bottle counts nowhere, and its photo may be kept again.
func TestDropCheckOfABottle(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		for _, name := range []string{"Tan", "Navy"} {
			must(b.AddBottle(ctx, Bottle{Name: name}))(t)
		}
		for _, kind := range []string{OfBottle, OfLadder, OfDabs} {
			add := func(bottle string) (Check, error) {
				c, e := aCheckOf("dabs "+kind, "", "", 2)
				c.Kind, c.Bottle = kind, bottle
				return b.AddCheck(ctx, c, e)
			}
			counts := func(bottle string, want ...int64) {
				t.Helper()
				got := must(b.BottleChecks(ctx, bottle, kind))(t)
				if len(got) != len(want) || len(got) > 0 && got[0].ID != want[0] {
					t.Errorf("%s of %s: %d count, want %v", kind, bottle, len(got), want)
				}
			}
			wrong := must(add("Tan"))(t)
			if dropped := must(b.DropCheck(ctx, Drop{Check: wrong.ID, By: "Ben"}))(t); dropped.Bottle != "Tan" || dropped.Photo != wrong.Photo {
				t.Errorf("dropped %+v", dropped)
			}
			counts("Tan")
			right := must(add("Navy"))(t)
			counts("Navy", right.ID)
			again := must(add("Tan"))(t) // it was right, after all
			counts("Tan", again.ID)
			if right.Corrects != 0 || again.Corrects != wrong.ID {
				t.Errorf("they correct %d and %d", right.Corrects, again.Corrects)
			}
			if _, err := add("Tan"); !errors.Is(err, ErrStored) {
				t.Errorf("once more: %v", err)
			}
			_, twice := b.DropCheck(ctx, Drop{Check: wrong.ID})
			wantRefusal(t, twice, ErrNoRecord, "counts no more: check ")
			must(b.DropCheck(ctx, Drop{Check: again.ID, By: "Ben"}))(t)
			_, twice = b.DropCheck(ctx, Drop{Check: again.ID})
			wantRefusal(t, twice, ErrNoRecord, "was dropped already, by Ben on 2")
			counts("Tan")
			third := must(add("Tan"))(t)
			counts("Tan", third.ID)
		}
		_, none := b.DropCheck(ctx, Drop{Check: 99})
		wantRefusal(t, none, ErrNoRecord, "no check 99 in the book")
		if _, err := b.DropCheck(ctx, Drop{Check: 1, Why: "a\x00"}); !errors.Is(err, ErrRefused) {
			t.Errorf("a reason that is no text: %v", err)
		}
	})
}

// So does one of pieces; a photo whose place it had taken stays out until it is kept again.
// What is of a batch is dropped from that.
func TestDropCheckOfPieces(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		must(b.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood"}))(t)
		add := func(file, piece string, corrects int64) (Check, error) {
			c, e := aCheckOf(file, "Oxblood", "", 1)
			c.Pieces[0].Name, c.Corrects = piece, corrects
			return b.AddCheck(ctx, c, e)
		}
		drop := func(id int64) { t.Helper(); must(b.DropCheck(ctx, Drop{Check: id, By: "Ben"}))(t) }
		counts := func(piece string, want int64) {
			t.Helper()
			got, err := b.PieceChecks(ctx, piece)
			if errors.Is(err, ErrNoRecord) {
				err = nil
			}
			if err != nil || len(got) > 1 || len(got) == 1 != (want != 0) || len(got) == 1 && got[0].ID != want {
				t.Errorf("of %s count %+v, want %d (%v)", piece, got, want, err)
			}
		}
		wrong := must(add("a.jpg", "belt", 0))(t)
		drop(wrong.ID)
		counts("belt", 0)
		if s := must(b.ColourSummary(ctx, "Oxblood", 10))(t); len(s.Checks) != 0 || len(s.Verdicts) != 0 {
			t.Errorf("the colour shows %+v", s)
		}
		right := must(add("a.jpg", "strap", 0))(t)
		counts("strap", right.ID)
		if _, err := add("a.jpg", "belt", 0); !errors.Is(err, ErrStored) {
			t.Errorf("the photo once more: %v", err)
		}

		// Another photo takes its place by mistake.
		stray := must(add("stray.jpg", "strap", right.ID))(t)
		counts("strap", stray.ID)
		if _, err := add("stray.jpg", "belt", 0); !errors.Is(err, ErrStored) {
			t.Errorf("a photo that counts in another's place: %v", err)
		}
		drop(stray.ID)
		counts("strap", 0)
		back := must(add("a.jpg", "strap", 0))(t)
		counts("strap", back.ID)
		elsewhere := must(add("stray.jpg", "belt", 0))(t)
		counts("belt", elsewhere.ID)
		counts("strap", back.ID)
		drop(elsewhere.ID)
		if _, err := add("b.jpg", "belt", elsewhere.ID); !errors.Is(err, ErrNoRecord) {
			t.Errorf("in the place of what does not count: %v", err)
		}
		counts("belt", 0)
		counts("belt", must(add("stray.jpg", "belt", 0))(t).ID)

		// Kept again before the other is, it does not take its place once more.
		first := must(add("c.jpg", "fob", 0))(t)
		slip := must(add("d.jpg", "fob", first.ID))(t)
		slip = must(add("d.jpg", "fob", slip.ID))(t) // and measured once more
		drop(slip.ID)
		counts("tag", must(add("d.jpg", "tag", 0))(t).ID)
		if again := must(add("c.jpg", "fob", 0))(t); again.Corrects != slip.ID {
			t.Errorf("the other corrects %d, want %d", again.Corrects, slip.ID)
		} else {
			drop(again.ID)
			counts("fob", must(add("c.jpg", "fob", 0))(t).ID)
		}

		c, e := aCheckOf("of May", "", "May", 2)
		held := must(b.AddCheck(ctx, c, e))(t)
		refused := func() {
			t.Helper()
			_, err := b.DropCheck(ctx, Drop{Check: held.ID})
			wantRefusal(t, err, ErrRefused, `is of the batch "May"`)
			var why *refusal.Error
			if errors.As(err, &why) {
				holds(t, why.Hint, `evenhide batch drop "May" PHOTO`)
			}
		}
		refused()
		r := must(b.BatchResult(ctx, "May"))(t)
		must(b.Decide(ctx, Decision{Batch: "May", Says: Approved}, r.Moves))(t)
		refused()
		if now := must(b.BatchResult(ctx, "May"))(t); len(now.Checks) != 1 || len(now.Dropped) != 0 {
			t.Errorf("the batch holds %+v", now)
		}
	})
}

// Benches drop and keep one photo at once: it is dropped once, and kept again once.
func TestDropCheckAtOnce(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		c, e := aCheckOf("a.jpg", "Oxblood", "", 3)
		first := must(b.AddCheck(ctx, c, e))(t)
		var books []*Book
		for range 6 {
			books = append(books, open(t, address))
		}
		oneOf(t, books, func(b *Book) error { _, err := b.DropCheck(ctx, Drop{Check: first.ID}); return err }, ErrNoRecord)
		oneOf(t, books, func(b *Book) error { _, err := b.AddCheck(ctx, c, e); return err }, ErrStored)
		wantRows(t, b, "photo_drop", 1)
		wantRows(t, b, "photo_check", 2)
	})
}

// A piece of which all was taken back is as if it were new: it may be of another colour.
func TestPieceTakenBack(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		for _, name := range []string{"Oxblood", "Tan"} {
			must(b.AddColour(ctx, name, DefaultSettings()))(t)
		}
		check := func(colour string) (Check, error) {
			c, e := aCheckOf("a.jpg", colour, "", 1)
			c.Pieces[0].Name = "strap"
			return b.AddCheck(ctx, c, e)
		}
		first := must(check("Oxblood"))(t)
		must(b.AddCoat(ctx, Coat{Piece: "strap"}))(t)
		refused := func(why string) {
			t.Helper()
			if _, err := check("Tan"); !errors.Is(err, ErrRefused) {
				t.Errorf("%s, checked as another colour: %v", why, err)
			}
			if _, err := b.AddPiece(ctx, Piece{Name: "strap", Colour: "Tan"}); !errors.Is(err, ErrNameTaken) {
				t.Errorf("%s, added as another colour: %v", why, err)
			}
		}
		refused("as it was kept")
		must(b.DropCheck(ctx, Drop{Check: first.ID}))(t)
		refused("with a coat")
		must(b.DropCoat(ctx, "strap", 1, CoatDrop{}))(t)
		second := must(check("Tan"))(t)
		if p := must(b.PieceNamed(ctx, "strap"))(t); p.Colour != "Tan" || p.ID != first.Pieces[0].PieceID || second.Corrects != 0 {
			t.Errorf("the piece is %+v, its check %+v", p, second)
		}
		if _, err := check("Oxblood"); !errors.Is(err, ErrRefused) {
			t.Errorf("back as it was while the other counts: %v", err)
		}
		must(b.DropCheck(ctx, Drop{Check: second.ID}))(t)
		must(b.AddHide(ctx, Hide{Name: "side 4"}))(t)
		p := must(b.AddPiece(ctx, Piece{Name: "strap", Colour: "Oxblood", Hide: "side 4"}))(t)
		if diff := cmp.Diff(p, must(b.PieceNamed(ctx, "strap"))(t)); diff != "" {
			t.Error(diff)
		}
		if again := must(check("Oxblood"))(t); again.Corrects != first.ID {
			t.Errorf("kept again it corrects %d, want %d", again.Corrects, first.ID)
		}
		must(b.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood"}))(t)
		c, e := aCheckOf("of May", "", "May", 1)
		held := must(b.AddCheck(ctx, c, e))(t)
		must(b.DropPhoto(ctx, "May", Drop{Check: held.ID}))(t)
		if _, err := b.AddPiece(ctx, Piece{Name: held.Pieces[0].Name, Colour: "Tan"}); !errors.Is(err, ErrNameTaken) {
			t.Errorf("of a batch, added as another colour: %v", err)
		}
	})
}
