package shadebook

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func TestCoatedPieces(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		for _, c := range []string{"Tan", "Black", "Bare"} {
			must(b.AddColour(ctx, c, DefaultSettings()))(t)
		}
		for i, c := range []string{"Tan", "Black", "Tan", "Tan", "Bare"} {
			p := must(b.AddPiece(ctx, Piece{Name: fmt.Sprint("piece ", i), Colour: c}))(t)
			for range i % 3 { // the first and the fourth get none
				must(b.AddCoat(ctx, Coat{Piece: p.Name}))(t)
			}
		}
		must(b.AddPiece(ctx, Piece{Name: "later", Colour: "Tan"}))(t)
		must(b.AddCoat(ctx, Coat{Piece: "later"}))(t)
		for colour, want := range map[string][]string{"Tan": {"later", "piece 2"}, "Black": {"piece 1"}} {
			if diff := cmp.Diff(want, must(b.CoatedPieces(ctx, colour, 10))(t)); diff != "" {
				t.Errorf("%s: %s", colour, diff)
			}
		}
		if got := must(b.CoatedPieces(ctx, "Tan", 1))(t); len(got) != 1 || got[0] != "later" {
			t.Errorf("at most one is %q", got)
		}
		if _, err := b.CoatedPieces(ctx, "none", 1); !errors.Is(err, ErrNoRecord) {
			t.Errorf("no such colour: %v", err)
		}
	})
}

// Coats lie in the order of their times, to the minute.
func TestCoatsInOrder(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Tan", DefaultSettings()))(t)
		ten := time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC)
		for i, c := range []struct {
			number  int
			seconds float64
			refused bool
		}{
			{1, 0, false}, {1, 59.9, false}, {1, 60, true}, {1, -60, false}, {1, 3600, true},
			{3, 0, false}, {3, -.1, true}, {3, 60, false}, {3, -60, true},
		} {
			piece := must(b.AddPiece(ctx, Piece{Name: fmt.Sprint("piece ", i), Colour: "Tan"}))(t).Name
			must(b.AddCoat(ctx, Coat{Piece: piece, Number: 2, When: ten.Add(30 * time.Second)}))(t)
			_, err := b.AddCoat(ctx, Coat{Piece: piece, Number: c.number, When: ten.Add(time.Duration(c.seconds * float64(time.Second)))})
			if c.refused != errors.Is(err, ErrRefused) || !c.refused && err != nil {
				t.Errorf("coat %d, %g s past the minute of coat 2: %v", c.number, c.seconds, err)
			}
		}
	})
}
