package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const hintName = "name a JPEG, PNG or TIFF file"

func TestOpenRefusesWhatIsNoPhoto(t *testing.T) {
	dir := t.TempDir()
	path := func(name, content string) string {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
		return p
	}
	const phone = `set the phone's camera to save JPEG ("most compatible"), or export this photo as a JPEG`
	for _, c := range []struct {
		path, text, hint string
		kind             error
	}{
		{filepath.Join(dir, "tan.jpg"), "no such file", "check the spelling and the folder", fs.ErrNotExist},
		{dir, "a folder, not a photo", "name a photo inside it", ErrNotPhoto},
		{os.DevNull, "not an ordinary file", hintName, ErrNotPhoto},
		{path("empty.jpg", ""), "empty file", hintCopy, ErrNotPhoto},
		{path("text.jpg", "dear customer"), `not a photo: it begins with "dear cus"`, hintName, ErrNotPhoto},
		{path("one.jpg", "\xff"), `not a photo: it begins with "\xff"`, hintName, ErrNotPhoto},
		{path("a.jpg", "\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), "HEIC is not supported; JPEG, PNG and TIFF are", phone, ErrUnsupported},
		{path("b.heif", "\x00\x00\x00\x18ftypmif1\x00\x00\x00\x00"), "HEIC is not supported; JPEG, PNG and TIFF are", phone, ErrUnsupported},
		{path("c.jpg", "\x00\x00\x00\x18ftypavif\x00\x00\x00\x00"), "AVIF is not supported; JPEG, PNG and TIFF are", phone, ErrUnsupported},
		{path("d.jpg", "\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00"), `a video or other media file ("mp42"), not a photo`, hintName, ErrNotPhoto},
		{path("e.jpg", "RIFF\x10\x00\x00\x00WEBPVP8 "), "WebP is not supported; JPEG, PNG and TIFF are", "export it as a JPEG", ErrUnsupported},
		{path("f.wav", "RIFF\x10\x00\x00\x00WAVEfmt "), `not a photo: it begins with "RIFF\x10\x00\x00\x00"`, hintName, ErrNotPhoto},
		{path("g.jpg", "GIF89a"), "GIF is not supported; JPEG, PNG and TIFF are", "export it as a JPEG", ErrUnsupported},
		{path("h.cr2", "II*\x00\x10\x00\x00\x00CR\x02\x00"), "a raw photo (CR2) is not supported", "export it as a JPEG", ErrUnsupported},
	} {
		_, err := Open(c.path, Limits{})
		refused(t, err, c.kind, c.path+": "+c.text, c.hint)
	}
}

// jpegSize returns a JPEG whose header alone gives the size and kind of frame.
func jpegSize(w, h int, frame byte, components int) []byte {
	b := []byte{0xff, 0xd8, 0xff, frame, 0, byte(8 + 3*components), 8, byte(h >> 8), byte(h), byte(w >> 8), byte(w), byte(components)}
	for i := range components {
		b = append(b, byte(i+1), 0x11, 0)
	}
	return append(b, 0xff, 0xda, 0, 2)
}

func pngSize(w, h uint32, depth, kind, interlace byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, w)
	b = append(binary.BigEndian.AppendUint32(b, h), depth, kind, 0, 0, interlace)
	return append(append([]byte(pngSignature), chunk("IHDR", b)...), chunk("IDAT", []byte("x"))...)
}

// tiffSize returns the header of an RGB TIFF, and what else is given.
func tiffSize(w, h uint32, bits uint16, extra ...tiffEntry) []byte {
	u32 := func(v uint32) []byte { return binary.BigEndian.AppendUint32(nil, v) }
	u16 := func(v ...uint16) []byte {
		var b []byte
		for _, v := range v {
			b = binary.BigEndian.AppendUint16(b, v)
		}
		return b
	}
	dir := []tiffEntry{{256, 4, u32(w)}, {257, 4, u32(h)}, {258, 3, u16(bits, bits, bits)}, {262, 3, u16(2)}}
	dir = append(dir, extra...)
	slices.SortFunc(dir, func(a, b tiffEntry) int { return int(a.tag) - int(b.tag) })
	return tiffStructure(dir)
}

func TestTooLarge(t *testing.T) {
	const ordinary = "save it as an ordinary JPEG, or smaller"
	pixels := "tan.jpg: 50000 × 50000 pixels, more than the 120 million allowed"
	for name, c := range map[string]struct {
		data       []byte
		text, hint string
	}{
		"JPEG":             {jpegSize(50000, 50000, 0xc0, 3), pixels, hintSmaller},
		"PNG":              {pngSize(50000, 50000, 8, 2, 0), pixels, hintSmaller},
		"TIFF":             {tiffSize(50000, 50000, 8), pixels, hintSmaller},
		"PNG, 2^62 pixels": {pngSize(1<<31-1, 1<<31-1, 1, 0, 0), "tan.jpg: a PNG of more pixels than can be counted", hintSmaller},
		"progressive JPEG": {jpegSize(9000, 9000, 0xc2, 3), "tan.jpg: 9000 × 9000 pixels as progressive JPEG need 1221 MB to decode, more than the 245 MB allowed", ordinary},
		"wide PNG":         {pngSize(10000, 10000, 16, 6, 0), "tan.jpg: 10000 × 10000 pixels as PNG need 800 MB to decode, more than the 245 MB allowed", ordinary},
		"interlaced PNG":   {pngSize(6000, 6000, 8, 2, 1), "tan.jpg: 6000 × 6000 pixels as interlaced PNG need 288 MB to decode, more than the 245 MB allowed", ordinary},
		"packed TIFF": {tiffSize(4000, 3000, 8, tiffEntry{259, 3, []byte{0, 5}}),
			"tan.jpg: 4000 × 3000 pixels as TIFF compressed in one piece need 336 MB to decode, more than the 245 MB allowed", ordinary},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Decode(bytes.NewReader(c.data), "tan.jpg", Limits{})
			refused(t, err, ErrTooLarge, c.text, c.hint)
		})
	}
	_, err := Decode(bytes.NewReader(read(t, "420.jpg")), "tan.jpg", Limits{MaxPixels: 61*43 - 1})
	refused(t, err, ErrTooLarge, "tan.jpg: 61 × 43 pixels, more than the 0.002622 million allowed", hintSmaller)
}

func TestUnsupportedKinds(t *testing.T) {
	clear := noise(3, 3)
	clear.Pix[4*4+3] = 254
	with := func(tag uint16, v ...byte) []byte {
		b := tiffSize(4, 4, 8)
		at := bytes.Index(b, binary.BigEndian.AppendUint16(nil, tag))
		copy(b[at+8:], v)
		return b
	}
	for name, c := range map[string]struct {
		data       []byte
		text, hint string
	}{
		"CMYK JPEG":        {read(t, "cmyk.jpg"), "a CMYK JPEG, made for printing; photos are RGB or grey", "export it as an RGB JPEG"},
		"lossless JPEG":    {jpegSize(8, 8, 0xc3, 3), "unsupported kind of JPEG: unknown marker", "export it as an ordinary JPEG"},
		"12-bit JPEG":      {append(append([]byte{0xff, 0xd8, 0xff, 0xc1, 0, 11, 12}, 0, 8, 0, 8, 1, 1, 0x11, 0), 0xff, 0xda), "unsupported kind of JPEG: precision", "export it as an ordinary JPEG"},
		"CMYK TIFF":        {with(262, 0, 5), "a CMYK TIFF; photos are RGB or grey", "export it as an RGB TIFF or a JPEG"},
		"transparent PNG":  {pngOf(t, clear), "some of its pixels are transparent", "export the photo as a JPEG"},
		"transparent TIFF": {tiffOf(t, clear), "some of its pixels are transparent", "export the photo as a JPEG"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Decode(bytes.NewReader(c.data), "tan.jpg", Limits{})
			refused(t, err, ErrUnsupported, "tan.jpg: "+c.text, c.hint)
		})
	}
}

// TestCutShort cuts each format at 20 places, from within the header to one byte
// before the end. This TIFF ends with its resolution, 16 bytes that say nothing
// of the picture: it is cut above them.
func TestCutShort(t *testing.T) {
	for name, data := range map[string][]byte{
		"JPEG": read(t, "420.jpg"), "progressive JPEG": read(t, "progressive.jpg"),
		"PNG": pngOf(t, noise(40, 40)), "TIFF": tiffOf(t, noise(40, 40)),
	} {
		format := name[strings.LastIndex(name, " ")+1:]
		for i := range 20 {
			n := len(data) - 1 - i*(len(data)-20)/20
			if format == "TIFF" {
				n -= 16
			}
			_, err := Decode(bytes.NewReader(data[:n]), "tan.jpg", Limits{})
			refused(t, err, ErrDamaged, fmt.Sprintf("tan.jpg: damaged %s: ends after %d bytes, before the picture does", format, n), hintCopy)
		}
	}
}

func TestDamage(t *testing.T) {
	palette := image.NewPaletted(image.Rect(0, 0, 4, 4), color.Palette{color.Black, color.White, color.Gray{99}})
	bad := *palette
	bad.Pix = slices.Clone(palette.Pix)
	bad.Pix[5] = 3
	badTIFF := tiffOf(t, palette)
	badTIFF[8+5] = 200 // its palette has the encoder's 256 entries, cut to 3 below
	map3(badTIFF)
	badPNG := func() []byte { // three colours at two bits a pixel leave room for a fourth index
		img := bad
		img.Palette = append(slices.Clone(palette.Palette), color.Gray{50})
		b := pngOf(t, &img)
		at := bytes.Index(b, []byte("PLTE")) - 4
		short := chunk("PLTE", b[at+8:at+8+9])
		return append(append(slices.Clone(b[:at]), short...), b[at+8+12+4:]...)
	}()
	crc := pngOf(t, palette)
	crc[8+8+13] ^= 1
	for name, c := range map[string]struct {
		data []byte
		text string
	}{
		"palette PNG":    {badPNG, "damaged PNG: a pixel has a colour beyond the 3 of its palette"},
		"palette TIFF":   {badTIFF, "damaged TIFF: invalid color index"},
		"checksum PNG":   {crc, "damaged PNG: invalid checksum"},
		"no pixels":      {jpegSize(0, 8, 0xc0, 3), "damaged JPEG: it says it is 0 × 8 pixels"},
		"too many scans": {manyScans(t), "damaged JPEG: more than 200 scans"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Decode(bytes.NewReader(c.data), "tan.jpg", Limits{})
			refused(t, err, ErrDamaged, "tan.jpg: "+c.text, hintCopy)
		})
	}
}

// manyScans repeats the scan of a grey JPEG.
func manyScans(t *testing.T) []byte {
	data := read(t, "grey-progressive.jpg")
	from := bytes.LastIndex(data, []byte{0xff, 0xda})
	scan := data[from : len(data)-2]
	return append(append(slices.Clone(data[:from]), bytes.Repeat(scan, 250)...), 0xff, 0xd9)
}

// map3 cuts the palette of a little-endian TIFF to three colours.
func map3(b []byte) {
	le := binary.LittleEndian
	at := le.Uint32(b[4:])
	for e := at + 2; ; e += 12 {
		if le.Uint16(b[e:]) == 320 {
			le.PutUint32(b[e+4:], 9)
			return
		}
	}
}
