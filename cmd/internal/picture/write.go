package picture

import (
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"path/filepath"
	"strings"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/outfile"
)

// ErrKind is the kind of refusal for a file name that ends in none of .png, .jpg
// and .jpeg.
var ErrKind = errors.New("unsupported kind of picture")

// Check refuses a path that Write could not write for its ending, so that a
// wrong name shows before any photo is read.
func Check(path string) error {
	_, err := encoder(path)
	return err
}

// Write writes img to path as PNG or JPEG, as the ending says: the whole picture
// or none. Errors that a person can put right are of kind ErrKind or
// outfile.ErrWrite and begin with path.
func Write(path string, img image.Image) error {
	encode, err := encoder(path)
	if err != nil {
		return err
	}
	return outfile.Write(path, func(w io.Writer) error { return encode(w, img) })
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
