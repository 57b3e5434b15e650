package photo

import (
	"errors"
	"fmt"
	"image"
	"io"
	"strings"

	"evenhide/calibrate/refusal"
)

// hintCopy is the next thing to do with a file that was cut short or altered.
const hintCopy = "copy the photo from the phone again"

const hintSmaller = "save a smaller copy and use that"

// maxDecoded is the most memory, in bytes, that a decoder may be made to hold.
// With the 54 MB of a Field of the default size it keeps a photo under 300 MB.
// 48 MP of 4:2:0 JPEG need 72 MB, 30 MP of 16-bit RGB 240 MB.
const maxDecoded = 245e6

// header is what a photo says of itself before its pixels.
type header struct {
	format        string // "JPEG", "PNG", "TIFF"
	width, height int    // as stored, before turning
	bits          int    // 8 or 16
	grey          bool
	held          int64         // bytes the decoder will hold, at most
	kind          string        // the format with what decides how much that is
	icc           []byte        // nil when there is none
	exif          io.ReadSeeker // a TIFF structure; nil when there is none
	decode        func() (image.Image, error)
}

func (h *header) check(lim Limits) error {
	if h.width <= 0 || h.height <= 0 {
		return refusal.New(ErrDamaged, hintCopy, "damaged %s: it says it is %d × %d pixels", h.format, h.width, h.height)
	}
	if int64(h.width) > int64(lim.MaxPixels)/int64(h.height) {
		return refusal.New(ErrTooLarge, hintSmaller,
			"%d × %d pixels, more than the %.4g million allowed", h.width, h.height, float64(lim.MaxPixels)/1e6)
	}
	if h.held > maxDecoded {
		return refusal.New(ErrTooLarge, "save it as an ordinary JPEG, or smaller",
			"%d × %d pixels as %s need %d MB to decode, more than the %d MB allowed",
			h.width, h.height, h.kind, h.held/1e6, int64(maxDecoded/1e6))
	}
	return nil
}

// source is the file being read and its size.
type source struct {
	io.ReadSeeker
	at   io.ReaderAt
	size int64
}

func newSource(r io.ReadSeeker) (*source, error) {
	size, err := r.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, err
	}
	at, ok := r.(io.ReaderAt)
	if !ok {
		at = seekingReaderAt{r}
	}
	return &source{r, at, size}, nil
}

// section returns a fresh reader of the whole file.
func (s *source) section() *io.SectionReader { return io.NewSectionReader(s.at, 0, s.size) }

// bytes returns n bytes from offset, or nil when the file does not hold them
// all or n is over limit.
func (s *source) bytes(offset, n, limit int64) []byte {
	if offset < 0 || n < 0 || n > limit || offset > s.size-n {
		return nil
	}
	b := make([]byte, n)
	if _, err := s.at.ReadAt(b, offset); err != nil && err != io.EOF {
		return nil
	}
	return b
}

// damage puts a decoder's error into words.
func (s *source) damage(format string, err error) error {
	var refused *refusal.Error
	if errors.As(err, &refused) {
		return err
	}
	text := err.Error()
	for _, prefix := range []string{"png: ", "tiff: ", "zlib: ", "invalid format: ", "invalid JPEG format: ", "unsupported feature: ", "unsupported JPEG feature: "} {
		text = strings.TrimPrefix(text, prefix)
	}
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF), text == "not enough pixel data":
		return refusal.New(ErrDamaged, hintCopy, "damaged %s: ends after %d bytes, before the picture does", format, s.size)
	case text == "dimension overflow", text == "image too large":
		return refusal.New(ErrTooLarge, hintSmaller, "a %s of more pixels than can be counted", format)
	case strings.Contains(err.Error(), "unsupported"):
		return refusal.New(ErrUnsupported, "export it as an ordinary JPEG", "unsupported kind of %s: %s", format, text)
	}
	return refusal.New(ErrDamaged, hintCopy, "damaged %s: %s", format, text)
}

// seekingReaderAt reads at an offset by seeking. It is for one goroutine.
type seekingReaderAt struct{ r io.ReadSeeker }

func (s seekingReaderAt) ReadAt(p []byte, off int64) (int, error) {
	if _, err := s.r.Seek(off, io.SeekStart); err != nil {
		return 0, fmt.Errorf("seek: %w", err)
	}
	n, err := io.ReadFull(s.r, p)
	if err == io.ErrUnexpectedEOF {
		err = io.EOF
	}
	return n, err
}
