package shadebook

import (
	"context"
	"errors"
	"fmt"
	"testing"

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
