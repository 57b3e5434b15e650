package record

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/shadebook"
)

// PhotoFile returns the file at path with its SHA-256, by which the book knows a
// photo whatever it is called.
func PhotoFile(path string) (shadebook.PhotoFile, error) {
	f, err := os.Open(path)
	if err != nil {
		return shadebook.PhotoFile{}, Unreadable(path, err)
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return shadebook.PhotoFile{}, Unreadable(path, err)
	}
	return shadebook.PhotoFile{File: path, SHA256: hex.EncodeToString(h.Sum(nil))}, nil
}

// Unreadable says that the disk does not give what path names.
func Unreadable(path string, err error) error {
	var disk *fs.PathError
	if errors.As(err, &disk) {
		err = disk.Err
	}
	return refusal.New(err, "check the spelling and the folder, and that you may read it", "%s: cannot be read: %v", path, err)
}
