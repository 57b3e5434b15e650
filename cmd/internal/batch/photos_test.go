package batch

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestPhotos(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"in/b.JPG", "in/a.jpeg", "in/c.tiff", "in/d.PNG", "in/e.tif", "in/notes.txt", "in/._b.JPG", "in/deep/f.jpg", "in/folder.jpg/g.jpg", "in/b.HEIC", "in/._c.heic", "phone/a.jpg", "phone/a.DNG", "phone/IMG 1.HEIC", "phone/IMG 2.heif", "none/x.txt", "g.heic"} {
		write(name, name)
	}
	write("same.jpg", "in/a.jpeg") // another name for the same photo
	read := func(names ...string) (files []string, err error) {
		for i, n := range names {
			names[i] = filepath.Join(dir, n)
		}
		photos, _, err := Photos(names)
		for _, p := range photos {
			files = append(files, filepath.ToSlash(strings.TrimPrefix(p.File, dir+string(filepath.Separator))))
		}
		return files, err
	}
	for name, c := range map[string]struct{ names, want []string }{
		"a folder":             {[]string{"in"}, []string{"in/a.jpeg", "in/b.JPG", "in/c.tiff", "in/d.PNG", "in/e.tif"}},
		"files as named":       {[]string{"in/e.tif", "in/a.jpeg", "g.heic"}, []string{"in/e.tif", "in/a.jpeg", "g.heic"}},
		"the same photo twice": {[]string{"same.jpg", "in", "in/c.tiff"}, []string{"same.jpg", "in/b.JPG", "in/c.tiff", "in/d.PNG", "in/e.tif"}},
	} {
		got, err := read(c.names...)
		if diff := cmp.Diff(c.want, got); diff != "" || err != nil {
			t.Errorf("%s: %v\n%s", name, err, diff)
		}
	}
	for name, want := range map[string]string{"none": "none: no photo in this folder",
		"phone": "phone: JPEG, PNG and TIFF are read, and 2 of its photos are none: IMG 1.HEIC, IMG 2.heif", "gone.jpg": "gone.jpg: cannot be read: no such file or directory"} {
		if _, err := read(name); err == nil || !strings.HasSuffix(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
	// SHA-256 of "in/c.tiff", by sha256sum of GNU coreutils.
	photos, _, _ := Photos([]string{filepath.Join(dir, "in/c.tiff")})
	if got := photos[0].SHA256; got != "9af035b2c64c0089f3a706f4d87985b6fcd93ca1c7acb0bee76377c3190fa2e8" {
		t.Errorf("SHA-256 %s", got)
	}
}
