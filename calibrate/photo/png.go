package photo

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"image"
	"image/png"
	"io"

	"evenhide/calibrate/refusal"
)

const (
	pngSignature = "\x89PNG\r\n\x1a\n"
	maxEXIF      = 64 << 10 // bytes: what a JPEG's segment can hold
	maxChunks    = 100_000
)

// openPNG reads a PNG's header: any colour type, 1 to 16 bits.
func openPNG(src *source) (*header, error) {
	ihdr := src.bytes(16, 13, 13)
	if ihdr == nil {
		return nil, src.damage("PNG", io.ErrUnexpectedEOF)
	}
	if _, err := png.DecodeConfig(bufio.NewReader(src.section())); err != nil {
		return nil, src.damage("PNG", err)
	}
	depth, kind, interlaced := int64(ihdr[8]), ihdr[9], ihdr[12] != 0
	h := &header{format: "PNG", kind: "PNG", bits: 8, grey: kind&2 == 0,
		width: int(binary.BigEndian.Uint32(ihdr)), height: int(binary.BigEndian.Uint32(ihdr[4:]))}
	if depth == 16 {
		h.bits = 16
	}
	c := readChunks(src)
	var err error
	if h.icc, err = c.profile(); err != nil {
		return nil, err
	}
	if c.exif != nil {
		h.exif = bytes.NewReader(c.exif)
	}
	perPixel := int64(4 * h.bits / 8)
	if (kind == 0 || kind == 3) && !c.transparency || kind == 3 {
		perPixel = int64(h.bits / 8)
	}
	h.held = perPixel * int64(h.width) * int64(h.height)
	if interlaced {
		h.held, h.kind = 2*h.held, "interlaced PNG"
	}
	h.decode = func() (image.Image, error) {
		img, err := png.Decode(bufio.NewReaderSize(src.section(), 64<<10))
		if p, ok := img.(*image.Paletted); ok && len(p.Palette) > c.colours {
			// The decoder lengthens the palette with black instead.
			return nil, refusal.New(ErrDamaged, hintCopy, "damaged PNG: a pixel has a colour beyond the %d of its palette", c.colours)
		}
		return img, err
	}
	return h, nil
}

// chunks is what a PNG's chunks beside the pixels hold.
type chunks struct {
	icc, exif    []byte // iCCP still compressed
	iccTooLong   bool
	transparency bool
	colours      int // in the palette
}

// readChunks collects them. Damage ends the reading; the decoder will say what
// it is.
func readChunks(src *source) chunks {
	var c chunks
	at := int64(len(pngSignature))
	for range maxChunks {
		head := src.bytes(at, 8, 8)
		if head == nil {
			break
		}
		n := int64(binary.BigEndian.Uint32(head))
		switch string(head[4:]) {
		case "iCCP":
			c.icc = src.bytes(at+8, n, maxProfile)
			c.iccTooLong = n > maxProfile
		case "eXIf":
			c.exif = src.bytes(at+8, n, maxEXIF)
		case "PLTE":
			c.colours = int(n / 3)
		case "tRNS":
			c.transparency = true
		case "IEND":
			return c
		}
		at += 8 + n + 4
	}
	return c
}

// profile inflates the iCCP chunk: a name, 0, the method 0, a zlib stream.
func (c *chunks) profile() ([]byte, error) {
	if c.iccTooLong {
		return nil, refusal.New(ErrProfile, hintProfile, "colour profile over the %d bytes allowed", maxProfile)
	}
	if c.icc == nil {
		return nil, nil
	}
	_, packed, ok := bytes.Cut(c.icc, []byte{0})
	if !ok || len(packed) == 0 || packed[0] != 0 {
		return nil, refusal.New(ErrProfile, hintProfile, "damaged colour profile: its chunk has no compressed part")
	}
	z, err := zlib.NewReader(bytes.NewReader(packed[1:]))
	if err != nil {
		return nil, refusal.New(ErrProfile, hintProfile, "damaged colour profile: %v", err)
	}
	b, err := io.ReadAll(io.LimitReader(z, maxProfile+1))
	switch {
	case err != nil:
		return nil, refusal.New(ErrProfile, hintProfile, "damaged colour profile: %v", err)
	case len(b) > maxProfile:
		return nil, refusal.New(ErrProfile, hintProfile, "colour profile over the %d bytes allowed", maxProfile)
	}
	return b, nil
}
