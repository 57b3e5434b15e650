package shadebook

import (
	"bytes"
	"context"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// FuzzImport holds whatever file is imported to all or nothing: refused with nothing
// stored, or a book whose export is imported as the same book.
func FuzzImport(f *testing.F) {
	whole := exported(f, filled(f, sqliteAddress(f)))
	lines := bytes.SplitAfter(whole, []byte("\n"))
	f.Add(whole)
	f.Add(whole[:len(whole)/2])
	f.Add(bytes.Join(lines[:1], nil))
	f.Add([]byte(`{"record":"header","format":"evenhide shade book","version":1,"rows":{"colour":1}}
{"record":"colour","id":-9223372036854775808,"name":"","added_at":"0000-01-01T00:00:00.000000Z"}
`))
	f.Fuzz(func(t *testing.T, file []byte) {
		ctx := context.Background()
		b := open(t, sqliteAddress(t))
		if err := b.Import(ctx, bytes.NewReader(file)); err != nil {
			if !errors.Is(err, ErrExport) {
				t.Error(err)
			}
			for _, table := range tables() {
				wantRows(t, b, table.name, 0)
			}
			return
		}
		again := open(t, sqliteAddress(t))
		first := exported(t, b)
		if err := again.Import(ctx, bytes.NewReader(first)); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(first), string(exported(t, again))); diff != "" {
			t.Error(diff)
		}
	})
}
