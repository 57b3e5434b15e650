// Package batch checks the photos of a batch, stores what each gave, and sums up
// what the whole batch holds.
package batch

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/shadebook"
)

// Photos returns the photos that paths name: files as they are, and of folders
// every photo that lies in them, by name, but none in the folders within. Each is
// known by its SHA-256; of several with the same only the first is returned. named has
// those that are named themselves. A folder is refused that holds photos of a kind that
// is not read.
func Photos(paths []string) (photos []shadebook.PhotoFile, named map[string]bool, err error) {
	known := map[string]bool{}
	named = map[string]bool{}
	for _, path := range paths {
		files, err := files(path)
		if err != nil {
			return nil, nil, err
		}
		for _, file := range files {
			photo, err := record.PhotoFile(file)
			if err != nil {
				return nil, nil, err
			}
			if !known[photo.SHA256] {
				known[photo.SHA256] = true
				photos = append(photos, photo)
			}
			named[photo.SHA256] = named[photo.SHA256] || file == path
		}
	}
	return photos, named, nil
}

// files returns path, or the photos in it when it is a folder.
func files(path string) ([]string, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, record.Unreadable(path, err)
	case info.Mode().IsRegular():
		return []string{path}, nil
	case !info.IsDir():
		return nil, refusal.New(nil, "name a photo, or a folder of photos", "%s: neither an ordinary file nor a folder", path)
	}
	entries, err := os.ReadDir(path) // sorted by name
	if err != nil {
		return nil, record.Unreadable(path, err)
	}
	var out, unread []string
	read := map[string]bool{} // stems of what is read: a phone may save a photo in two formats
	for _, e := range entries {
		name := e.Name()
		if info, err := os.Stat(filepath.Join(path, name)); err != nil || !info.Mode().IsRegular() { // a link may lead anywhere
			continue
		}
		switch {
		case isPhoto(name):
			out, read[stem(name)] = append(out, filepath.Join(path, name)), true
		case ends(name, ".heic", ".heif", ".avif", ".webp", ".dng", ".cr2", ".cr3", ".nef", ".arw", ".raf"):
			unread = append(unread, name)
		}
	}
	unread = slices.DeleteFunc(unread, func(name string) bool { return read[stem(name)] })
	if len(unread) > 0 { // the pieces in them would be missing in the batch, and nobody told
		return nil, refusal.New(nil, `export these as JPEG, or take them out of the folder; set the phone's camera to save JPEG ("most compatible")`,
			"%s: JPEG, PNG and TIFF are read, and %d of its photos are none: %s", path, len(unread), strings.Join(unread[:min(3, len(unread))], ", "))
	}
	if len(out) == 0 {
		return nil, refusal.New(nil, "name the folder that holds the photos itself; JPEG, PNG and TIFF are read", "%s: no photo in this folder", path)
	}
	return out, nil
}

// isPhoto reports whether a file in a folder has the name of a photo that is read.
func isPhoto(name string) bool { return ends(name, ".jpg", ".jpeg", ".png", ".tif", ".tiff") }

// ends reports how a name ends; hidden ones are leavings of other computers.
func ends(name string, endings ...string) bool {
	return slices.Contains(endings, strings.ToLower(filepath.Ext(name))) && !strings.HasPrefix(name, ".")
}

func stem(name string) string { return strings.TrimSuffix(name, filepath.Ext(name)) }
