package picture

import (
	"bytes"
	"errors"
	"image"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/outfile"
)

func TestWrite(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 30, 20))
	for name, format := range map[string]string{"a.png": "png", "b.jpg": "jpeg", "c.JPEG": "jpeg"} {
		dir := t.TempDir()
		path := filepath.Join(dir, name)
		for range 2 { // the second replaces the first
			if err := Write(path, img); err != nil {
				t.Fatal(err)
			}
		}
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if c, got, err := image.DecodeConfig(f); err != nil || got != format || c.Width != 30 || c.Height != 20 {
			t.Errorf("%s: %s of %d×%d, %v", name, got, c.Width, c.Height, err)
		}
		left(t, dir, name)
	}
}

// left holds that dir has the named files and no others.
func left(t *testing.T, dir string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != len(names) {
		t.Errorf("%s holds %v, want %v", dir, entries, names)
		return
	}
	for i, e := range entries {
		if e.Name() != names[i] {
			t.Errorf("%s holds %s, want %s", dir, e.Name(), names[i])
		}
	}
}

func TestWriteLeavesNothingBehind(t *testing.T) {
	dir := t.TempDir()
	small := image.NewRGBA(image.Rect(0, 0, 3, 2))
	if err := os.MkdirAll(filepath.Join(dir, "taken.png", "inside"), 0o777); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		img  image.Image
		kind error // nil for what no person can put right
	}{
		{"x.gif", small, ErrKind},
		{"x", small, ErrKind},
		{"none/x.png", small, fs.ErrNotExist},
		{"taken.png", small, outfile.ErrWrite},                     // a folder
		{"empty.png", image.NewRGBA(image.Rectangle{}), nil},       // no PNG has no pixels
		{"wide.jpg", image.NewGray(image.Rect(0, 0, 7e4, 1)), nil}, // no JPEG is so wide
	} {
		err := Write(filepath.Join(dir, c.name), c.img)
		var refused *refusal.Error
		if err == nil || c.kind != nil && (!errors.Is(err, c.kind) || !errors.As(err, &refused) || refused.Hint == "") {
			t.Errorf("%s: %v, want %v with a hint", c.name, err, c.kind)
		}
		left(t, dir, "taken.png")
	}
}

// A photo is no picture, whatever its name.
func TestAPictureTakesNoPhotosPlace(t *testing.T) {
	for _, name := range []string{"x.png", "x.jpg"} {
		path := filepath.Join(t.TempDir(), name)
		photo := bytes.Repeat([]byte("\xff\xd8 a photo"), 100)
		if err := os.WriteFile(path, photo, 0o666); err != nil {
			t.Fatal(err)
		}
		for _, err := range []error{Check(path), Write(path, image.NewRGBA(image.Rect(0, 0, 3, 2)))} {
			if !errors.Is(err, outfile.ErrWrite) {
				t.Errorf("%s: %v", name, err)
			}
		}
		if got, _ := os.ReadFile(path); !bytes.Equal(got, photo) {
			t.Errorf("%s was written over", name)
		}
	}
}

func TestWriteIntoClosedFolder(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("root may write anywhere")
	}
	dir := t.TempDir()
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	err := Write(filepath.Join(dir, "x.png"), image.NewRGBA(image.Rect(0, 0, 3, 2)))
	if !errors.Is(err, fs.ErrPermission) {
		t.Errorf("%v, want %v", err, fs.ErrPermission)
	}
	left(t, dir)
}

func TestFailedWriteKeepsTheOldPicture(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x.png")
	if err := os.WriteFile(path, []byte("old "+mark), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, image.NewRGBA(image.Rectangle{})); err == nil {
		t.Fatal("an empty picture was written")
	}
	if got, _ := os.ReadFile(path); string(got) != "old "+mark {
		t.Errorf("the old picture became %q", got)
	}
	left(t, dir, "x.png")
}
