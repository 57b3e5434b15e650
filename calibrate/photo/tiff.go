package photo

import (
	"encoding/binary"
	"image"
	"io"
	"math"

	"golang.org/x/image/tiff"

	"evenhide/calibrate/refusal"
)

// openTIFF reads a TIFF's header: grey, RGB and paletted, 8 and 16 bit, the
// first picture of the file.
func openTIFF(src *source) (*header, error) {
	dir := readDirectory(src)
	if ink := dir.first(262, 0); ink >= 5 && ink != 32803 && ink != 34892 {
		names := map[uint32]string{5: "CMYK", 6: "YCbCr", 8: "CIELAB"}
		if name := names[ink]; name != "" {
			return nil, refusal.New(ErrUnsupported, "export it as an RGB TIFF or a JPEG", "a %s TIFF; photos are RGB or grey", name)
		}
	}
	cfg, err := tiff.DecodeConfig(src.section())
	if err != nil {
		return nil, src.damage("TIFF", err)
	}
	h := &header{format: "TIFF", width: cfg.Width, height: cfg.Height, bits: 8, exif: src.section()}
	if dir.first(258, 1) == 16 {
		h.bits = 16
	}
	h.grey = dir.first(262, 0) <= 1
	if e, ok := dir.entries[34675]; ok {
		if e.count > maxProfile {
			return nil, refusal.New(ErrProfile, hintProfile, "colour profile of %d bytes, over the %d allowed", e.count, maxProfile)
		}
		if h.icc = src.bytes(int64(e.value), int64(e.count), maxProfile); h.icc == nil {
			return nil, refusal.New(ErrProfile, hintProfile, "damaged colour profile: it lies beyond the end of the file")
		}
	}
	h.decode = func() (image.Image, error) { return tiff.Decode(src.section()) }
	if at := dir.splitStrip(src, h); at != nil {
		h.held, h.kind = dir.picture(h)+3*stripBytes, "TIFF"
		h.decode = func() (image.Image, error) { return tiff.Decode(io.NewSectionReader(at, 0, math.MaxInt64)) }
		return h, nil
	}
	h.held, h.kind = dir.held(h, src.size)
	return h, nil
}

// directory is a TIFF's first directory (TIFF 6.0, section 2).
type directory struct {
	order interface {
		binary.ByteOrder
		binary.AppendByteOrder
	}
	entries map[uint16]entry
}

// entry has the first value where it fits the entry, else its offset.
type entry struct {
	count, value uint32
	raw          []byte
}

// readDirectory reads what it can; the decoder says what is wrong.
func readDirectory(src *source) directory {
	d := directory{binary.LittleEndian, map[uint16]entry{}}
	head := src.bytes(0, 8, 8)
	if head == nil {
		return d
	}
	if head[0] == 'M' {
		d.order = binary.BigEndian
	}
	at := int64(d.order.Uint32(head[4:]))
	count := src.bytes(at, 2, 2)
	if count == nil {
		return d
	}
	n := 12 * int64(d.order.Uint16(count))
	for b := src.bytes(at+2, n, math.MaxUint16*12); len(b) >= 12; b = b[12:] {
		e := entry{d.order.Uint32(b[4:]), d.order.Uint32(b[8:]), b[:12]}
		switch kind := d.order.Uint16(b[2:]); {
		case kind == 3 && e.count == 1:
			e.value = uint32(d.order.Uint16(b[8:]))
		case kind == 3 && e.count > 2: // bits per sample: one for each channel
			if v := src.bytes(int64(e.value), 2, 2); v != nil && d.order.Uint16(b) == 258 {
				e.value = uint32(d.order.Uint16(v))
			}
		}
		d.entries[d.order.Uint16(b)] = e
	}
	return d
}

func (d directory) first(tag uint16, absent uint32) uint32 {
	if e, ok := d.entries[tag]; ok && e.count > 0 {
		return e.value
	}
	return absent
}

// picture returns how many bytes the decoded picture takes.
func (d directory) picture(h *header) int64 {
	perPixel := int64(h.bits / 8)
	if d.first(262, 0) == 2 {
		perPixel *= 4
	}
	return perPixel * int64(h.width) * int64(h.height)
}

// held returns how many bytes the decoder may come to hold: the picture, and
// one strip or tile. A compressed strip may inflate to 8 bytes a pixel whatever
// the picture needs, in a buffer that grows by doubling; an uncompressed one is
// at most what the file holds, in a buffer that grows by a quarter. It also names
// the kind of TIFF.
func (d directory) held(h *header, fileSize int64) (int64, string) {
	rows := min(int64(d.first(278, math.MaxUint32)), int64(h.height))
	block := rows * int64(h.width)
	if w := int64(d.first(322, 0)); w > 0 {
		block = w * int64(d.first(323, 0))
	}
	kind := "TIFF"
	if d.first(259, 1) == 1 {
		return d.picture(h) + 2*min(8*block, fileSize), kind
	}
	if 2*block > int64(h.width)*int64(h.height) {
		kind = "TIFF compressed in one piece"
	}
	return d.picture(h) + 3*8*block, kind
}
