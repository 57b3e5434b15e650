package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/outfile"
)

// ErrKind is the kind of refusal for a file name that ends in none of .png, .jpg
// and .jpeg.
var ErrKind = errors.New("unsupported kind of picture")

// Check refuses a path that Write could not write for its ending or for what is there,
// so that a wrong name shows before any photo is read.
func Check(path string) error {
	_, err := encoder(path)
	if err == nil {
		err = outfile.Check(path, drawn())
	}
	return err
}

// mark is in every picture, so that one may take another's place and no photo's.
const (
	mark  = "evenhide picture"
	title = "Title\x00" + mark // as PNG has it
)

func drawn() outfile.Kind { return outfile.Marked("a picture that evenhide drew", mark) }

// Write writes img to path as PNG or JPEG, as the ending says: the whole picture
// or none. Errors that a person can put right are of kind ErrKind or
// outfile.ErrWrite and begin with path.
func Write(path string, img image.Image) error {
	encode, err := encoder(path)
	if err != nil {
		return err
	}
	return outfile.Write(path, drawn(), func(w io.Writer) error { return encode(w, img) })
}

func encoder(path string) (func(io.Writer, image.Image) error, error) {
	switch ending := strings.ToLower(filepath.Ext(path)); ending {
	case ".png":
		e := png.Encoder{CompressionLevel: png.BestSpeed} // a photo hardly shrinks by more effort
		const head = 8 + 25                               // signature and IHDR, which comes first
		text := append([]byte{0, 0, 0, byte(len(title))}, "tEXt"+title...)
		return marked(e.Encode, head, binary.BigEndian.AppendUint32(text, crc32.ChecksumIEEE(text[4:]))), nil
	case ".jpg", ".jpeg":
		const head = 2 // the start of the image
		comment := append([]byte{0xff, 0xfe, 0, byte(2 + len(mark))}, mark...)
		return marked(func(w io.Writer, img image.Image) error {
			const quality = 90 // type stays crisp
			return jpeg.Encode(w, img, &jpeg.Options{Quality: quality})
		}, head, comment), nil
	default:
		return nil, refusal.New(ErrKind, "name the picture .png, .jpg or .jpeg",
			"%s: a picture cannot be written as %q", path, ending)
	}
}

// marked returns encode that puts the mark after so many bytes.
func marked(encode func(io.Writer, image.Image) error, after int, mark []byte) func(io.Writer, image.Image) error {
	return func(w io.Writer, img image.Image) error {
		var whole bytes.Buffer
		err := encode(&whole, img)
		if err == nil {
			_, err = w.Write(slices.Concat(whole.Next(after), mark, whole.Bytes()))
		}
		return err
	}
}
