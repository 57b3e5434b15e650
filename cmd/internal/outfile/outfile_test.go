package outfile

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

func only(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if len(got) != len(want) || (len(want) > 0 && got[0] != want[0]) {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}

func TestWriteReplaces(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	for _, text := range []string{"long old text", "new"} {
		if err := Write(path, func(w io.Writer) error { _, err := io.WriteString(w, text); return err }); err != nil {
			t.Fatal(err)
		}
		if got, _ := os.ReadFile(path); string(got) != text {
			t.Errorf("got %q, want %q", got, text)
		}
	}
	only(t, dir, "a.txt")
}

func TestWriteThatFailsLeavesWhatWasThere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	if err := os.WriteFile(path, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	wrong := errors.New("wrong")
	err := Write(path, func(w io.Writer) error { io.WriteString(w, "half"); return wrong })
	if !errors.Is(err, wrong) {
		t.Errorf("got %v", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "old" {
		t.Errorf("the file now holds %q", got)
	}
	only(t, dir, "a.txt")
}

func TestWriteNowhere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none", "a.txt")
	err := Write(path, func(io.Writer) error { return nil })
	if want := path + ": not written: no such file or directory"; !errors.Is(err, ErrWrite) || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
