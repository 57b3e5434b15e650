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
// known by its SHA-256; of several with the same only the first is returned.
func Photos(paths []string) ([]shadebook.PhotoFile, error) {
	var photos []shadebook.PhotoFile
	known := map[string]bool{}
	for _, path := range paths {
		files, err := files(path)
		if err != nil {
			return nil, err
		}
		for _, file := range files {
			photo, err := record.PhotoFile(file)
			if err != nil {
				return nil, err
			}
			if !known[photo.SHA256] {
				known[photo.SHA256] = true
				photos = append(photos, photo)
			}
		}
	}
	return photos, nil
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
	var out []string
	for _, e := range entries {
		file := filepath.Join(path, e.Name())
		if !isPhoto(e.Name()) {
			continue
		}
		if info, err := os.Stat(file); err == nil && info.Mode().IsRegular() { // a link may lead anywhere
			out = append(out, file)
		}
	}
	if len(out) == 0 {
		return nil, refusal.New(nil, "name the folder that holds the photos itself; JPEG, PNG and TIFF are read", "%s: no photo in this folder", path)
	}
	return out, nil
}

// isPhoto reports whether a file in a folder has a photo's name; hidden ones are
// leavings of other computers.
func isPhoto(name string) bool {
	endings := []string{".jpg", ".jpeg", ".png", ".tif", ".tiff"}
	return slices.Contains(endings, strings.ToLower(filepath.Ext(name))) && !strings.HasPrefix(name, ".")
}
