package shadebook

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// mangle changes a few bytes, or cuts, doubles or moves a part.
func mangle(r *rand.Rand, file []byte) []byte {
	file = slices.Clone(file)
	from := r.IntN(len(file))
	to := min(len(file), from+1+r.IntN(60))
	switch part := slices.Clone(file[from:to]); r.IntN(5) {
	case 0:
		file[from] = byte(r.Uint32())
	case 1:
		digits := "0123456789-.e\"{}[],:null"
		file[from] = digits[r.IntN(len(digits))]
	case 2:
		file = slices.Delete(file, from, to)
	case 3:
		file = slices.Insert(file, to, part...)
	case 4:
		file = slices.Insert(slices.Delete(file, from, to), r.IntN(len(file)-len(part)), part...)
	}
	return file
}

// Whatever file is imported, it is all or nothing: refused with nothing stored, or a
// book whose export is imported as the same book. (The fuzzer of go test gets nowhere
// here: it instruments the whole of SQLite.)
func TestImportOfMangledFiles(t *testing.T) {
	ctx := context.Background()
	whole := exported(t, filled(t, sqliteAddress(t)))
	r := rand.New(rand.NewPCG(3, 4))
	b := open(t, sqliteAddress(t))
	const files = 600
	taken := 0
	for range files {
		file := mangle(r, whole)
		if err := b.Import(ctx, bytes.NewReader(file)); err != nil {
			if !errors.Is(err, ErrExport) {
				t.Error(err)
			}
			for _, table := range tables() {
				wantRows(t, b, table.name, 0)
			}
			continue
		}
		taken++
		again := open(t, sqliteAddress(t))
		first := exported(t, b)
		if err := again.Import(ctx, bytes.NewReader(first)); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(first), string(exported(t, again))); diff != "" {
			t.Error(diff)
		}
		b = open(t, sqliteAddress(t))
	}
	t.Logf("%d of %d mangled files were taken", taken, files)
	if taken == 0 || taken == files {
		t.Error("nothing was tried")
	}
}
