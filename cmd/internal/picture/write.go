package picture

import (
	"bufio"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"

	"evenhide/calibrate/refusal"
)

// The kinds of refusal, for errors.Is.
var (
	// ErrKind is a file name that ends in none of .png, .jpg and .jpeg.
	ErrKind = errors.New("unsupported kind of picture")
	// ErrWrite is a file that could not be written.
	ErrWrite = errors.New("picture not written")
)

// Check refuses a path that Write could not write for its ending, so that a
// wrong name shows before any photo is read.
func Check(path string) error {
	_, err := encoder(path)
	return err
}

// Write writes img to path as PNG or JPEG, as the ending says. The file is
// written beside its place and then moved there: nobody sees half a picture, and
// one that is there already is replaced only by a whole one. Errors are
// *refusal.Error of ErrKind or ErrWrite and begin with path.
func Write(path string, img image.Image) error {
	encode, err := encoder(path)
	if err != nil {
		return err
	}
	temporary := filepath.Join(filepath.Dir(path), fmt.Sprintf(".%s.%08x.part", filepath.Base(path), rand.Uint32()))
	if err = writeNew(temporary, img, encode); err == nil {
		err = os.Rename(temporary, path)
		if err != nil {
			os.Remove(temporary)
		}
	}
	if err == nil {
		return nil
	}
	var disk *os.PathError
	var link *os.LinkError
	if errors.As(err, &disk) { // its path is the temporary file's, which means nothing to anyone
		err = disk.Err
	} else if errors.As(err, &link) {
		err = link.Err
	}
	return refusal.New(fmt.Errorf("%w: %w", ErrWrite, err),
		"check that the folder exists, that you may write to it and that the disk is not full", "%s: picture not written: %v", path, err)
}

// writeNew encodes img into a new file, and leaves none when that fails.
func writeNew(path string, img image.Image, encode func(io.Writer, image.Image) error) error {
	const mode = 0o666 // less the user's mask, as any file they make
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<16)
	if err = encode(w, img); err == nil {
		err = w.Flush()
	}
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err != nil {
		os.Remove(path)
	}
	return err
}

func encoder(path string) (func(io.Writer, image.Image) error, error) {
	switch ending := strings.ToLower(filepath.Ext(path)); ending {
	case ".png":
		e := png.Encoder{CompressionLevel: png.BestSpeed} // a photo hardly shrinks by more effort
		return e.Encode, nil
	case ".jpg", ".jpeg":
		return func(w io.Writer, img image.Image) error {
			const quality = 90 // type stays crisp
			return jpeg.Encode(w, img, &jpeg.Options{Quality: quality})
		}, nil
	default:
		return nil, refusal.New(ErrKind, "name the picture .png, .jpg or .jpeg",
			"%s: a picture cannot be written as %q", path, ending)
	}
}
