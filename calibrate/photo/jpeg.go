package photo

import (
	"bufio"
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"io"

	"evenhide/calibrate/refusal"
)

const (
	maxProfile = 4 << 20 // bytes of an ICC profile; a matrix profile has under 20 kB
	maxScans   = 200     // a progressive photo has about ten; each costs a walk over all blocks
)

// openJPEG reads a JPEG's header: baseline, progressive or grey. CMYK is
// refused.
func openJPEG(src *source) (*header, error) {
	cfg, err := jpeg.DecodeConfig(bufio.NewReader(src.section()))
	if err != nil {
		return nil, src.damage("JPEG", err)
	}
	if cfg.ColorModel == color.CMYKModel {
		return nil, refusal.New(ErrUnsupported, "export it as an RGB JPEG", "a CMYK JPEG, made for printing; photos are RGB or grey")
	}
	seg := readSegments(src)
	h := &header{format: "JPEG", kind: "JPEG", width: cfg.Width, height: cfg.Height, bits: 8, grey: cfg.ColorModel == color.GrayModel}
	if seg.exif != nil {
		h.exif = bytes.NewReader(seg.exif)
	}
	if h.icc, err = seg.profile(); err != nil {
		return nil, err
	}
	h.held = seg.samples(cfg)
	if seg.progressive {
		h.held, h.kind = 5*h.held, "progressive JPEG" // a byte of sample and an int32 of coefficient each
	}
	if cfg.ColorModel == color.RGBAModel {
		h.held += 4 * int64(h.width) * int64(h.height)
	}
	h.decode = func() (image.Image, error) {
		quick := seg.codedEnd(src)
		if h.held+quick > maxDecoded {
			quick = 0
		}
		if head, factor := seg.amplify(src); factor != 1 {
			img, tables, err := decodeJPEG(src, quick, head)
			if samples, ok := img.(*image.YCbCr); err != nil {
				return nil, err
			} else if a := (&amplified{samples, factor}); ok && tables == 0 && a.fits() {
				return a, nil
			}
		}
		img, _, err := decodeJPEG(src, quick, nil)
		return img, err
	}
	return h, nil
}

// decodeJPEG decodes the JPEG, its start replaced by head, and counts the tables that
// are defined after it. quick is what quickJPEG wants.
func decodeJPEG(src *source, quick int64, head []byte) (image.Image, int, error) {
	if img := quickJPEG(src, quick, head); img != nil {
		return img, 0, nil
	}
	from := int64(len(head))
	r := &scanCounter{r: io.NewSectionReader(src.at, from, src.size-from)}
	img, err := jpeg.Decode(bufio.NewReaderSize(io.MultiReader(bytes.NewReader(head), r), 64<<10))
	if err != nil && r.ended {
		err = io.ErrUnexpectedEOF // the decoder may call it short Huffman data
	}
	return img, r.tables, err
}

// segments is what a JPEG's marker segments before the first scan hold.
type segments struct {
	exif        []byte
	icc         map[byte][]byte // by sequence number, from 1
	iccCount    byte            // parts the profile says it has
	iccBytes    int
	progressive bool
	sampling    []byte // h<<4|v per component
	tables      []byte // of steps, by component
	steps       []span // in the file, of the segments that define the tables
	end         int64  // of all this in the file: the first scan's marker
}

type span struct{ from, to int64 }

// readSegments collects a JPEG's EXIF, ICC and frame segments up to its first
// scan. Damage ends the reading; the decoder will say what it is.
func readSegments(src *source) segments {
	s := segments{icc: map[byte][]byte{}}
	file := src.section()
	r := bufio.NewReader(file)
	at := func() int64 {
		read, _ := file.Seek(0, io.SeekCurrent) // cannot fail
		return read - int64(r.Buffered())
	}
	r.Discard(2) // start of image
	for {
		marker, err := nextMarker(r)
		if marker == 0xda {
			s.end = at() - 2
		}
		if err != nil || marker == 0xda || marker == 0xd9 {
			return s
		}
		if marker == 0x01 || marker >= 0xd0 && marker <= 0xd7 {
			continue // no length
		}
		var l [2]byte
		if _, err := io.ReadFull(r, l[:]); err != nil {
			return s
		}
		n := int(l[0])<<8 + int(l[1]) - 2
		if n < 0 {
			return s
		}
		if marker == 0xdb {
			s.steps = append(s.steps, span{at(), at() + int64(n)})
		}
		if marker != 0xe1 && marker != 0xe2 && (marker < 0xc0 || marker > 0xc2) {
			if _, err := r.Discard(n); err != nil {
				return s
			}
			continue
		}
		b := make([]byte, n)
		if _, err := io.ReadFull(r, b); err != nil {
			return s
		}
		s.add(marker, b)
	}
}

// nextMarker skips to the next 0xff that is neither fill nor stuffing.
func nextMarker(r *bufio.Reader) (byte, error) {
	var last byte
	for {
		b, err := r.ReadByte()
		if err != nil {
			return 0, err
		}
		if last == 0xff && b != 0xff && b != 0 {
			return b, nil
		}
		last = b
	}
}

func (s *segments) add(marker byte, b []byte) {
	const exifTag, iccTag = "Exif\x00", "ICC_PROFILE\x00"
	switch {
	case marker == 0xe1 && s.exif == nil && len(b) > 6 && string(b[:5]) == exifTag:
		s.exif = b[6:] // a sixth byte pads the tag
	case marker == 0xe2 && len(b) > 14 && string(b[:12]) == iccTag:
		if s.iccBytes += len(b); s.iccBytes <= maxProfile {
			s.icc[b[12]], s.iccCount = b[14:], b[13]
		}
	case marker >= 0xc0 && marker <= 0xc2 && len(b) > 5:
		s.progressive = marker == 0xc2
		for i := 7; i < len(b); i += 3 {
			s.sampling, s.tables = append(s.sampling, b[i]), append(s.tables, b[min(i+1, len(b)-1)])
		}
	}
}

// profile joins the parts of the ICC profile in the order of their numbers; nil
// when there is none.
func (s *segments) profile() ([]byte, error) {
	if len(s.icc) == 0 {
		return nil, nil
	}
	if s.iccBytes > maxProfile {
		return nil, refusal.New(ErrProfile, hintProfile, "colour profile of %d bytes or more, over the %d allowed", s.iccBytes, maxProfile)
	}
	whole := []byte{} // not nil: a profile of no parts is a damaged one
	for i := 1; i <= int(s.iccCount); i++ {
		part, ok := s.icc[byte(i)]
		if !ok {
			return nil, refusal.New(ErrProfile, hintProfile, "damaged colour profile: part %d of %d is missing", i, s.iccCount)
		}
		whole = append(whole, part...)
	}
	return whole, nil
}

// samples returns how many bytes of samples the decoder will hold.
func (s *segments) samples(cfg image.Config) int64 {
	const block = 16 // the decoder rounds up to whole blocks of up to 32×16
	padded := (int64(cfg.Width) + 2*block) * (int64(cfg.Height) + block)
	if len(s.sampling) < 3 {
		return padded
	}
	area := func(hv byte) int64 { return max(int64(hv>>4)*int64(hv&15), 1) }
	return padded + 2*padded*area(s.sampling[1])/area(s.sampling[0])
}

// scanCounter ends the reading of a JPEG with more scans than any photo has: a
// small file can hold thousands, each of which costs a walk over all blocks.
// Within coded data an 0xff byte is always followed by something else than the
// marker of a scan.
type scanCounter struct {
	r             io.Reader
	last          byte
	scans, tables int
	ended         bool // more was wanted than there is
}

func (c *scanCounter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	if n > 0 {
		c.scans += c.markers(p[:n], 0xda)
		c.tables += c.markers(p[:n], 0xdb)
		c.last = p[n-1]
	}
	c.ended = c.ended || err == io.EOF
	if c.scans > maxScans {
		return 0, refusal.New(ErrDamaged, hintCopy, "damaged JPEG: more than %d scans", maxScans)
	}
	return n, err
}

// markers counts a marker's places in what has been read.
func (c *scanCounter) markers(p []byte, marker byte) int {
	n := bytes.Count(p, []byte{0xff, marker})
	if c.last == 0xff && p[0] == marker {
		n++
	}
	return n
}
