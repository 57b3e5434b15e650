package shadebook

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
)

// adders add a record of each kind that has names.
func adders(b *Book) map[kind]func(ctx context.Context, name string) error {
	return map[kind]func(context.Context, string) error{
		aColour: func(ctx context.Context, name string) error {
			_, err := b.AddColour(ctx, name, DefaultSettings())
			return err
		},
		aHide: func(ctx context.Context, name string) error { _, err := b.AddHide(ctx, Hide{Name: name}); return err },
		aBottle: func(ctx context.Context, name string) error {
			_, err := b.AddBottle(ctx, Bottle{Name: name})
			return err
		},
		aBatch: func(ctx context.Context, name string) error {
			_, err := b.OpenBatch(ctx, Batch{Name: name, Colour: "of all"})
			return err
		},
		aPiece: func(ctx context.Context, name string) error {
			_, err := b.AddPiece(ctx, Piece{Name: name, Colour: "of all"})
			return err
		},
	}
}

// Of names that differ by case or spaces alone a person makes no two things.
func TestNamesDifferByMoreThanCase(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "of all", DefaultSettings()))(t)
		for k, add := range adders(b) {
			for _, name := range []string{"Été  GREEN Straße", "Été GREEN 2"} {
				if err := add(ctx, name); err != nil {
					t.Fatal(err)
				}
			}
			for _, other := range []string{"été green strasse", " ÉTÉ GREEN\u00a0STRASSE", "e\u0301te\u0301 green   straße"} {
				wantRefusal(t, add(ctx, other), ErrNameTaken, fmt.Sprintf("there is a %s %q already", k, "Été  GREEN Straße"))
			}
			wantRows(t, b, string(k), map[bool]int{true: 3, false: 2}[k == aColour])
		}
		c, e := aCheckOf("été  green straße", "of all", "", 1) // its one piece has another name
		must(b.AddCheck(ctx, c, e))(t)
		c, e = aCheckOf("b.jpg", "of all", "", 2)
		c.Pieces[0].Name, c.Pieces[1].Name = "new", "ÉTÉ green 2"
		_, err := b.AddCheck(ctx, c, e)
		wantRefusal(t, err, ErrNameTaken, `there is a piece "Été GREEN 2" already`)
		c.Pieces[1].Name = "NEW"
		if _, err := b.AddCheck(ctx, c, e); !errors.Is(err, ErrRefused) {
			t.Errorf("two pieces of one photo: %v", err)
		}
		c.Pieces[1].Name = "Été GREEN 2" // this one
		must(b.AddCheck(ctx, c, e))(t)
		if _, err := b.ColourNamed(ctx, "ÉTÉ GREEN 2"); !errors.Is(err, ErrNoRecord) {
			t.Errorf("%v", err)
		} else {
			wantRefusal(t, err, ErrNoRecord)
		}

		again := open(t, sqliteAddress(t))
		if err := again.Import(ctx, bytes.NewReader(exported(t, b))); err != nil {
			t.Fatal(err)
		}
		for _, add := range adders(again) {
			if err := add(ctx, "été green 2"); !errors.Is(err, ErrNameTaken) {
				t.Errorf("in an imported book: %v", err)
			}
		}
	})
}

// Benches that add such names at the same moment make one record.
func TestOneOfManyBenchesGetsTheName(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		names := []string{"fob A", "Fob A", "FOB A", "fob  a", "fOB a", "foB A"}
		var books []*Book
		for range names {
			books = append(books, open(t, address))
		}
		must(books[0].AddColour(ctx, "of all", DefaultSettings()))(t)
		for k := range adders(books[0]) {
			var each sync.WaitGroup
			for i, name := range names {
				each.Go(func() {
					if err := adders(books[i])[k](ctx, name); err != nil && !errors.Is(err, ErrNameTaken) {
						t.Error(err)
					}
				})
			}
			each.Wait()
			wantRows(t, books[0], string(k), map[bool]int{true: 2, false: 1}[k == aColour])
		}
	})
}

// A book from before such names were refused may hold both: it opens, both are used as
// before, and no third is added.
func TestOldBookWithTwoSuchNames(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := bookOf(t, address, 1)
		if _, err := b.db.Exec("INSERT INTO colour (name, added_at) VALUES ('of all', 0)"); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"Fob", "fob"} {
			if _, err := b.db.Exec("INSERT INTO piece (name, colour_id, added_at) VALUES ($1, 1, 0)", name); err != nil {
				t.Fatal(err)
			}
		}
		b.Close()
		b = open(t, address)
		for i, name := range []string{"fob", "Fob"} {
			c, e := aCheckOf(fmt.Sprint(i), "of all", "", 1)
			c.Pieces[0].Name = name
			must(b.AddCheck(ctx, c, e))(t)
			if n := len(must(b.PieceChecks(ctx, name))(t)); n != 1 {
				t.Errorf("%d checks of %s", n, name)
			}
		}
		_, err := b.AddPiece(ctx, Piece{Name: "FOB", Colour: "of all"})
		wantRefusal(t, err, ErrNameTaken, `there is a piece "Fob" already`)
		wantRows(t, b, "piece", 2)

		again := open(t, sqliteAddress(t))
		if err := again.Import(ctx, bytes.NewReader(exported(t, b))); err != nil {
			t.Fatal(err)
		}
		wantRows(t, again, "piece", 2)
	})
}
