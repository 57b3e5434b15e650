// Package photo reads a phone photo and turns it into light: JPEG, PNG and TIFF,
// 8 and 16 bit, upright, the embedded colour profile honoured, averaged in linear
// light to the cells of a colour.Field in one pass over the decoder's own samples.
//
// Sizes are checked against limits from the header alone, before any pixel is
// decoded, and every count in the file before memory is set aside for it.
package photo

import (
	"errors"
	"image"
	"io"
	"io/fs"
	"os"
	"runtime"
	"time"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

// The kinds of refusal, for errors.Is. A missing file is fs.ErrNotExist and one
// that may not be read is fs.ErrPermission.
var (
	ErrNotPhoto    = errors.New("not a photo")
	ErrUnsupported = errors.New("unsupported kind of photo")
	ErrTooLarge    = errors.New("photo too large")
	ErrDamaged     = errors.New("damaged photo")
	ErrProfile     = errors.New("unusable colour profile")
)

// Limits bounds what one photo may cost. The zero value has the defaults.
type Limits struct {
	// MaxPixels is the largest width times height; 0 means 120e6.
	MaxPixels int
	// MaxCells is the largest number of cells in the Field. 0 means a cell a pixel
	// up to 3.2 megapixels, and over that 2.1e6 cells of an even number of pixels,
	// whole samples of a phone's chroma.
	MaxCells int
}

func (l Limits) orDefault() Limits {
	if l.MaxPixels <= 0 {
		l.MaxPixels = 120e6
	}
	return l
}

// cell returns the side of the cells of a picture of the given size.
func (l Limits) cell(size image.Point) int {
	if l.MaxCells > 0 {
		return cellFor(size, l.MaxCells)
	}
	const kept = 3.2e6 // pixels: small photos need all they have
	if size.X*size.Y <= kept {
		return 1
	}
	cell := cellFor(size, 2.1e6)
	return cell + cell%2
}

// Photo is a photo that has been read. Its pixels are kept only as the Field.
type Photo struct {
	Name          string    // as given
	Width, Height int       // upright pixels
	Bits          int       // per channel in the file: 8 or 16
	Profile       string    // the colour profile's description, "" when there is none: sRGB then
	Taken         time.Time // zero when not recorded; local time unless the photo says its offset
	Camera        string    // make and model, "" when not recorded

	// Field is the photo in light: upright, linear, in colour.WorkingSpace.
	// Colours outside the working space's gamut, such as strong Display P3 ones,
	// have channels a little below 0 or above 1; they are kept, as clamping
	// would change their colour.
	Field *colour.Field
}

// Open reads the photo in the file at path. Errors begin with path and are
// *refusal.Error unless the disk itself failed.
func Open(path string, lim Limits) (*Photo, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, refusal.New(fs.ErrNotExist, "check the spelling and the folder", "%s: no such file", path)
	case err != nil:
		return nil, unreadable(path, err)
	case info.IsDir():
		return nil, refusal.New(ErrNotPhoto, "name a photo inside it", "%s: a folder, not a photo", path)
	case !info.Mode().IsRegular():
		return nil, refusal.New(ErrNotPhoto, "name a JPEG, PNG or TIFF file", "%s: not an ordinary file", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, unreadable(path, err)
	}
	defer f.Close()
	return Decode(f, path, lim)
}

func unreadable(path string, err error) error {
	if errors.Is(err, fs.ErrPermission) {
		return refusal.New(fs.ErrPermission, "change the file's permissions or copy it", "%s: may not be read", path)
	}
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return refusal.New(err, "copy the photo to this computer again", "%s: cannot be opened: %v", path, err)
}

// Decode reads the photo that r holds from its start to its end; name begins
// every error's text.
func Decode(r io.ReadSeeker, name string, lim Limits) (*Photo, error) {
	p, err := decode(r, lim.orDefault())
	if err != nil {
		var refused *refusal.Error
		if errors.As(err, &refused) {
			return nil, refusal.New(refused.Kind, refused.Hint, "%s: %s", name, refused.What)
		}
		return nil, refusal.New(err, "copy the photo to this computer again", "%s: cannot be read: %v", name, err)
	}
	p.Name = name
	return p, nil
}

func decode(r io.ReadSeeker, lim Limits) (*Photo, error) {
	src, err := newSource(r)
	if err != nil {
		return nil, err
	}
	open, err := sniff(src)
	if err != nil {
		return nil, err
	}
	h, err := open(src)
	if err != nil {
		return nil, err
	}
	if err := h.check(lim); err != nil {
		return nil, err
	}
	about := readAbout(h.exif)
	enc, err := newEncoding(h, about)
	if err != nil {
		return nil, err
	}
	size := image.Pt(h.width, h.height)
	l := newLayout(size, about.orientation, lim.cell(size))
	ready := readyField(l)
	img, err := h.decode()
	field := <-ready
	if err != nil {
		return nil, src.damage(h.format, err)
	}
	if img.Bounds() != (image.Rectangle{Max: size}) {
		return nil, refusal.New(ErrDamaged, hintCopy, "damaged %s: the header says %d × %d pixels, the picture has %d × %d",
			h.format, h.width, h.height, img.Bounds().Dx(), img.Bounds().Dy())
	}
	if err := average(img, l, enc, field); err != nil {
		return nil, err
	}
	// What is measured next then lies where the samples lay, in memory that the system
	// has handed over already: a collection costs 1 ms and saves 10 of 140.
	img = nil
	runtime.GC()
	field.Own = enc.toOwn()
	up := about.orientation.upright(size)
	return &Photo{Width: up.X, Height: up.Y, Bits: h.bits, Profile: enc.name,
		Taken: about.taken, Camera: about.camera, Field: field}, nil
}
