package shadebook

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// A dropped coat counts no more; the others keep their numbers, and its own is free.
func TestDropCoat(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Tan", DefaultSettings()))(t)
		must(b.AddPiece(ctx, Piece{Name: "strap", Colour: "Tan"}))(t)
		must(b.AddPiece(ctx, Piece{Name: "belt", Colour: "Tan"}))(t)
		day := func(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }
		add := func(c Coat) (Coat, error) { c.Piece = "strap"; return b.AddCoat(ctx, c) }
		drop := func(n int) (CoatDrop, error) { return b.DropCoat(ctx, "strap", n, CoatDrop{By: "Ben", Why: "slip"}) }
		laid := func(want ...int) { // number, how many it has
			t.Helper()
			var got []int
			for _, c := range must(b.Coats(ctx, "strap"))(t) {
				got = append(got, c.Number, c.Has)
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Error(diff)
			}
		}
		for d := range 3 {
			must(add(Coat{When: day(d + 1)}))(t)
		}

		// The last one, of a wrong year, in whose way every other was.
		wrong := must(add(Coat{When: day(4).AddDate(5, 0, 0)}))(t)
		if _, err := add(Coat{When: day(5)}); !errors.Is(err, ErrRefused) {
			t.Errorf("before a coat of a later year: %v", err)
		}
		dropped := must(drop(4))(t)
		if diff := cmp.Diff(wrong, dropped.Coat); diff != "" {
			t.Error(diff)
		}
		laid(1, 1, 2, 2, 3, 3)
		if c := must(add(Coat{When: day(4)}))(t); c.Number != 4 || c.Has != 4 {
			t.Errorf("noted again as coat %d, the piece's %d", c.Number, c.Has)
		}

		// One in the middle, which was never laid, and then was.
		must(drop(2))(t)
		laid(1, 1, 3, 2, 4, 3)
		if c := must(add(Coat{When: day(5)}))(t); c.Number != 5 || c.Has != 4 {
			t.Errorf("the next is coat %d, the piece's %d", c.Number, c.Has)
		}
		if _, err := add(Coat{Number: 2, When: day(4)}); !errors.Is(err, ErrRefused) {
			t.Errorf("after coat 3: %v", err)
		}
		if c := must(add(Coat{Number: 2, When: day(2)}))(t); c.Has != 2 {
			t.Errorf("coat 2 is the piece's %d", c.Has)
		}
		laid(1, 1, 2, 2, 3, 3, 4, 4, 5, 5)
		must(drop(2))(t)
		if all := must(b.DroppedCoats(ctx, "strap"))(t); len(all) != 3 || all[2].ID != dropped.ID || all[0].Coat.Number != 2 || all[1].Coat.Has != 0 {
			t.Errorf("dropped are %+v", all)
		} else if all[2].Coat.Has = dropped.Coat.Has; cmp.Diff(dropped, all[2]) != "" {
			t.Error(cmp.Diff(dropped, all[2]))
		}

		_, twice := drop(2)
		wantRefusal(t, twice, ErrNoRecord, `coat 2 of "strap" was dropped already, by Ben on 2`)
		_, none := drop(9)
		wantRefusal(t, none, ErrNoRecord, `the piece "strap" has no coat 9`)
		_, other := b.DropCoat(ctx, "belt", 1, CoatDrop{})
		wantRefusal(t, other, ErrNoRecord, `the piece "belt" has no coat 1`)
		if _, err := b.DropCoat(ctx, "fob", 1, CoatDrop{}); !errors.Is(err, ErrNoRecord) {
			t.Errorf("of no piece: %v", err)
		}
		for _, n := range []int{1, 3, 4, 5} {
			must(drop(n))(t)
		}
		if got := must(b.CoatedPieces(ctx, "Tan", 5))(t); len(got) != 0 {
			t.Errorf("without coats, %q count as coated", got)
		}
		if c := must(add(Coat{}))(t); c.Number != 1 || c.Has != 1 {
			t.Errorf("the first again is %+v", c)
		}
	})
}

// Of benches that drop one coat at once, one drops it; of those that note it again, one does.
func TestDropCoatAtOnce(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Tan", DefaultSettings()))(t)
		must(b.AddPiece(ctx, Piece{Name: "strap", Colour: "Tan"}))(t)
		must(b.AddCoat(ctx, Coat{Piece: "strap"}))(t)
		var books []*Book
		for range 6 {
			books = append(books, open(t, address))
		}
		oneOf(t, books, func(b *Book) error { _, err := b.DropCoat(ctx, "strap", 1, CoatDrop{}); return err }, ErrNoRecord)
		wantRows(t, b, "coat_drop", 1)
		oneOf(t, books, func(b *Book) error { _, err := b.AddCoat(ctx, Coat{Piece: "strap", Number: 1}); return err }, ErrNameTaken)
		if got := fmt.Sprint(len(must(b.Coats(ctx, "strap"))(t)), len(must(b.DroppedCoats(ctx, "strap"))(t))); got != "1 1" {
			t.Errorf("laid and dropped: %s", got)
		}
	})
}
