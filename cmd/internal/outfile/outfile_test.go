package outfile

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var note = Marked("a note", "note")

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
	for _, text := range []string{"long old note", "new note"} {
		if err := Write(path, note, func(w io.Writer) error { _, err := io.WriteString(w, text); return err }); err != nil {
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
	if err := os.WriteFile(path, []byte("old note"), 0o644); err != nil {
		t.Fatal(err)
	}
	wrong := errors.New("wrong")
	err := Write(path, note, func(w io.Writer) error { io.WriteString(w, "half"); return wrong })
	if !errors.Is(err, wrong) {
		t.Errorf("got %v", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "old note" {
		t.Errorf("the file now holds %q", got)
	}
	only(t, dir, "a.txt")
}

func TestWriteNowhere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none", "a.txt")
	err := Write(path, note, func(io.Writer) error { return nil })
	if want := path + ": not written: no such file or directory"; !errors.Is(err, ErrWrite) || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func text(w io.Writer) error { _, err := io.WriteString(w, "new"); return err }

func TestWriteThroughALinkReplacesTheFileItPointsTo(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	file, link := filepath.Join(other, "real.txt"), filepath.Join(dir, "link")
	if err := os.WriteFile(file, []byte("old note"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(file, link); err != nil {
		t.Skip(err)
	}
	if err := Write(link, note, text); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(file); string(got) != "new" {
		t.Errorf("the file holds %q", got)
	}
	if to, err := os.Readlink(link); err != nil || to != file {
		t.Errorf("the link is now %q (%v)", to, err)
	}
	only(t, dir, "link")
	only(t, other, "real.txt")
}

func TestWriteLeavesAloneWhatIsNoOrdinaryFile(t *testing.T) {
	dir := t.TempDir()
	dangling, loop, folder, device := filepath.Join(dir, "dangling"), filepath.Join(dir, "loop"), filepath.Join(dir, "folder"), filepath.Join(dir, "link to a folder")
	if err := os.Mkdir(folder, 0o777); err != nil {
		t.Fatal(err)
	}
	for link, to := range map[string]string{dangling: "none", loop: "loop", device: folder} {
		if err := os.Symlink(to, link); err != nil {
			t.Skip(err)
		}
	}
	for path, want := range map[string]string{
		folder: "not an ordinary file", device: "not an ordinary file", os.DevNull: "not an ordinary file",
		dangling: "a link to what is not there", loop: "a link to what is not there",
	} {
		before, _ := os.Lstat(path)
		err := Write(path, note, func(io.Writer) error { t.Errorf("%s: written", path); return nil })
		if !errors.Is(err, ErrWrite) || err.Error() != path+": "+want {
			t.Errorf("got %v, want %s: %s", err, path, want)
		}
		if after, err := os.Lstat(path); err != nil || after.Mode() != before.Mode() {
			t.Errorf("%s: was %v, is %v (%v)", path, before.Mode(), after, err)
		}
	}
	only(t, dir, "dangling", "folder", "link to a folder", "loop")
}

// A file of another kind is somebody's; an empty one is nobody's.
func TestWriteLeavesAnotherKindAlone(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "a.txt"), filepath.Join(dir, "link")
	for _, there := range []string{"a letter", strings.Repeat("x", 1<<16) + "note"} {
		if err := os.WriteFile(path, []byte(there), 0o644); err != nil {
			t.Fatal(err)
		}
		os.Symlink(path, link)
		for _, name := range []string{path, link} {
			err := Write(name, note, func(io.Writer) error { t.Error("written"); return nil })
			if want := name + ": there is such a file, and it is not a note"; !errors.Is(err, ErrWrite) || err.Error() != want || Check(name, note).Error() != want {
				t.Errorf("got %v, want %s", err, want)
			}
		}
		if got, _ := os.ReadFile(path); string(got) != there {
			t.Errorf("the file holds %q", got)
		}
	}
	if err := os.WriteFile(path, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, note, text); err != nil {
		t.Error(err)
	}
	if err := Check(filepath.Join(dir, "new"), note); err != nil {
		t.Error(err)
	}
}

// A folder lets go of a file that nobody may write to; who protected it does not.
func TestWriteLeavesAProtectedFileAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.txt")
	if err := os.WriteFile(path, []byte("old note"), 0o444); err != nil {
		t.Fatal(err)
	}
	err := Write(path, note, func(io.Writer) error { t.Error("written"); return nil })
	if want := path + ": it is protected against writing"; !errors.Is(err, ErrWrite) || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if got, _ := os.ReadFile(path); string(got) != "old note" {
		t.Errorf("the file holds %q", got)
	}
}
