// Package outfile writes files that are whole or not there at all.
package outfile

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"

	"evenhide/calibrate/refusal"
)

// ErrWrite is the kind of refusal for a file that the disk would not take.
var ErrWrite = errors.New("file not written")

// Write puts what fill writes into the file at path, as Make does.
func Write(path string, kind Kind, fill func(io.Writer) error) error {
	return Make(path, kind, func(part string) error { return create(part, fill) })
}

// Make has the file at path made by fill: under another name beside it, that gives way
// to path's once the file is complete, so that a failure leaves what was
// there before and nothing else. Of a link the file that it points to is replaced.
// What is there and no ordinary file, a folder or a device, or is protected against
// writing, or not of that kind, is left alone.
func Make(path string, kind Kind, fill func(part string) error) error {
	to, err := target(path, kind)
	if err != nil {
		return err
	}
	part := filepath.Join(filepath.Dir(to), fmt.Sprintf(".%s.%08x.part", filepath.Base(to), rand.Uint32()))
	err = fill(part)
	if err == nil {
		err = os.Rename(part, to)
	}
	if err == nil {
		return nil
	}
	os.Remove(part)
	var disk *fs.PathError
	var link *os.LinkError
	switch { // the path in these is the other file's, which means nothing to anyone
	case errors.As(err, &disk):
		err = disk.Err
	case errors.As(err, &link):
		err = link.Err
	default:
		return err
	}
	return refusal.New(fmt.Errorf("%w: %w", ErrWrite, err), "see that the folder exists, that you may write to it and that the disk is not full",
		"%s: not written: %v", path, err)
}

// target returns the file that path stands for, links resolved.
func target(path string, kind Kind) (string, error) {
	const hint = "give the name of a new file, or of an ordinary one that may be replaced"
	const anybody = 0o222 // may write
	at, err := os.Stat(path)
	switch {
	case err == nil && !at.Mode().IsRegular():
		return "", refusal.New(ErrWrite, hint, "%s: not an ordinary file", path)
	case err == nil && at.Mode().Perm()&anybody == 0: // a folder would let it go all the same
		return "", refusal.New(ErrWrite, "give another name, or allow writing to the file first", "%s: it is protected against writing", path)
	case err == nil && !kind.mayGo(path):
		return "", kind.refuse(path)
	}
	if link, broken := os.Lstat(path); broken != nil || link.Mode()&fs.ModeSymlink == 0 {
		return path, nil // what is wrong with a folder on the way shows when the file is made
	}
	to := ""
	if err == nil {
		to, err = filepath.EvalSymlinks(path)
	}
	if err != nil {
		return "", refusal.New(ErrWrite, hint, "%s: a link to what is not there", path)
	}
	return to, nil
}

func create(path string, fill func(io.Writer) error) (err error) {
	const mode = 0o666 // less the user's mask, as any file they make
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
	}()
	w := bufio.NewWriter(f)
	if err := fill(w); err != nil {
		return err
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return f.Sync()
}
