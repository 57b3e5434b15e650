package shadebook

import (
	"context"
	"errors"
	"os"
	"testing"
)

// A book that was begun for nothing goes, unless another bench has written into it, or is about to.
func TestAbandon(t *testing.T) {
	ctx := context.Background()
	for _, written := range []bool{false, true} {
		address := sqliteAddress(t)
		b := must(OpenOrBegin(ctx, address))(t)
		if written {
			must(open(t, address).AddHide(ctx, Hide{Name: "side 4"}))(t)
		}
		if err := b.Abandon(ctx); err != nil {
			t.Error(err)
		}
		if _, err := os.Stat(address); errors.Is(err, os.ErrNotExist) == written {
			t.Errorf("written into: %v, then %v", written, err)
		}
	}
	address := sqliteAddress(t)
	first, second := must(OpenOrBegin(ctx, address))(t), open(t, address)
	if err := first.Abandon(ctx); err != nil {
		t.Error(err)
	}
	must(second.AddHide(ctx, Hide{Name: "side 4"}))(t) // by a bench that had it open
	if hides := must(open(t, address).Hides(ctx))(t); len(hides) != 1 {
		t.Errorf("the book holds %v", hides)
	}
	address = postgresAddress(t)
	if err := must(OpenOrBegin(ctx, address))(t).Abandon(ctx); err != nil {
		t.Error(err)
	}
	open(t, address)
}
