package shadebook

import (
	"context"
	"errors"
	"os"
	"testing"
)

// A book that was begun for nothing goes, unless another bench has written into it.
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
	address := postgresAddress(t)
	if err := must(OpenOrBegin(ctx, address))(t).Abandon(ctx); err != nil {
		t.Error(err)
	}
	open(t, address)
}
