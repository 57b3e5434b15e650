package outfile

import (
	"bytes"
	"io"
	"os"

	"evenhide/calibrate/refusal"
)

// Kind is what a file is to be. It takes the place of a file of its own kind alone: any
// other that has its name already is somebody's who forgot it.
type Kind struct {
	Name string                 // "a card"
	Is   func(head []byte) bool // tells it by a file's first 64 KiB
}

// Marked is a kind of file that has mark in it.
func Marked(name, mark string) Kind {
	return Kind{name, func(head []byte) bool { return bytes.Contains(head, []byte(mark)) }}
}

// Check refuses a path that Write and Make would refuse for what is there, so that a
// wrong name shows before any work is done.
func Check(path string, kind Kind) error {
	_, err := target(path, kind)
	return err
}

// mayGo tells whether the ordinary file at path may be replaced: an empty one may.
func (k Kind) mayGo(path string) bool {
	const most = 1 << 16
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	head, err := io.ReadAll(io.LimitReader(f, most))
	return err == nil && (len(head) == 0 || k.Is(head))
}

func (k Kind) refuse(path string) error {
	return refusal.New(ErrWrite, "give another name, or delete the file first", "%s: there is such a file, and it is not %s", path, k.Name)
}
