package photo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"math"
	"testing"

	"golang.org/x/image/tiff"

	"evenhide/colour"
)

// tiffEntry is one entry of a directory, its value in big-endian bytes.
type tiffEntry struct {
	tag, kind uint16
	value     []byte
}

// tiffStructure writes big-endian directories. The value "sub" and a digit is
// the offset of the directory after the first that has that number.
func tiffStructure(dirs ...[]tiffEntry) []byte {
	size := map[uint16]int{1: 1, 2: 1, 3: 2, 4: 4, 7: 1}
	starts, at := make([]int, len(dirs)), 8
	for i, d := range dirs {
		starts[i] = at
		at += 2 + 12*len(d) + 4
	}
	out := append([]byte("MM\x00*"), 0, 0, 0, 8)
	var tail []byte
	for _, d := range dirs {
		out = binary.BigEndian.AppendUint16(out, uint16(len(d)))
		for _, e := range d {
			v := e.value
			if len(v) == 4 && string(v[:3]) == "sub" {
				v = binary.BigEndian.AppendUint32(nil, uint32(starts[1+v[3]-'0']))
			}
			out = binary.BigEndian.AppendUint16(out, e.tag)
			out = binary.BigEndian.AppendUint16(out, e.kind)
			out = binary.BigEndian.AppendUint32(out, uint32(len(v)/size[e.kind]))
			if len(v) > 4 {
				out = binary.BigEndian.AppendUint32(out, uint32(at+len(tail)))
				tail = append(tail, v...)
			} else {
				out = append(append(out, v...), make([]byte, 4-len(v))...)
			}
		}
		out = append(out, 0, 0, 0, 0)
	}
	return append(out, tail...)
}

func exifOrientation(v uint16) []byte {
	return tiffStructure([]tiffEntry{{0x0112, 3, binary.BigEndian.AppendUint16(nil, v)}})
}

// withSegments puts marker segments after a JPEG's start.
func withSegments(jpeg []byte, marker byte, bodies ...[]byte) []byte {
	out := append([]byte(nil), jpeg[:2]...)
	for _, b := range bodies {
		out = append(out, 0xff, marker)
		out = binary.BigEndian.AppendUint16(out, uint16(len(b)+2))
		out = append(out, b...)
	}
	return append(out, jpeg[2:]...)
}

func withEXIF(jpeg, exif []byte) []byte {
	return withSegments(jpeg, 0xe1, append([]byte("Exif\x00\x00"), exif...))
}

// withProfile spreads an ICC profile over parts, written last part first.
func withProfile(jpeg, icc []byte, parts int) []byte {
	for i := 1; i <= parts; i++ {
		part := icc[len(icc)*(i-1)/parts : len(icc)*i/parts]
		jpeg = withSegments(jpeg, 0xe2, append(append([]byte("ICC_PROFILE\x00"), byte(i), byte(parts)), part...))
	}
	return jpeg
}

// pngWith encodes a picture with one more chunk after the header, unless kind
// is "".
func pngWith(t testing.TB, img image.Image, kind string, body []byte) []byte {
	t.Helper()
	data := pngOf(t, img)
	if kind == "" {
		return data
	}
	const header = 8 + 25
	return append(append(append([]byte(nil), data[:header]...), chunk(kind, body)...), data[header:]...)
}

func chunk(kind string, body []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(append(out, kind...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

// iccp returns the body of a PNG's iCCP chunk.
func iccp(icc []byte) []byte {
	var b bytes.Buffer
	b.WriteString("name\x00\x00")
	z := zlib.NewWriter(&b)
	z.Write(icc)
	z.Close()
	return b.Bytes()
}

func tiffOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := tiff.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// iccTag is one tag of a profile.
type iccTag struct {
	name string
	body []byte
}

// iccOf writes a profile of the given colour space and tags.
func iccOf(space string, tags ...iccTag) []byte {
	h := make([]byte, 128)
	copy(h[8:], "\x04\x30\x00\x00mntr")
	copy(h[16:], space)
	copy(h[20:], "XYZ ")
	copy(h[36:], "acsp")
	h = binary.BigEndian.AppendUint32(h, uint32(len(tags)))
	at := len(h) + 12*len(tags)
	var body []byte
	for _, tag := range tags {
		h = append(h, tag.name...)
		h = binary.BigEndian.AppendUint32(h, uint32(at+len(body)))
		h = binary.BigEndian.AppendUint32(h, uint32(len(tag.body)))
		body = append(body, tag.body...)
		body = append(body, make([]byte, -len(body)&3)...)
	}
	out := append(h, body...)
	binary.BigEndian.PutUint32(out, uint32(len(out)))
	return out
}

func s15(vs ...float64) []byte {
	var b []byte
	for _, v := range vs {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(v*65536))))
	}
	return b
}

func paraTag(function uint16, p ...float64) []byte {
	b := binary.BigEndian.AppendUint16([]byte("para\x00\x00\x00\x00"), function)
	return append(append(b, 0, 0), s15(p...)...)
}

func curvTag(entries ...uint16) []byte {
	b := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), uint32(len(entries)))
	for _, e := range entries {
		b = binary.BigEndian.AppendUint16(b, e)
	}
	return b
}

func descTag(name string) []byte {
	b := binary.BigEndian.AppendUint32([]byte("desc\x00\x00\x00\x00"), uint32(len(name)+1))
	return append(append(b, name...), make([]byte, 79)...)
}

func mlucTag(name string) []byte {
	b := append([]byte("mluc\x00\x00\x00\x00"), s15(1/65536., 12/65536.)...)
	b = append(append(b, "enGB"...), s15(float64(2*len(name))/65536, 28/65536.)...)
	for _, r := range name {
		b = binary.BigEndian.AppendUint16(b, uint16(r))
	}
	return b
}

// srgbPara is the sRGB curve as profiles give it, function 3.
func srgbPara() []byte { return paraTag(3, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045) }

// spaceTags returns the tags of the matrix profile of s with the same curve in
// each channel, its primaries brought to the connection space's white.
func spaceTags(s colour.Space, desc, curve []byte) []iccTag {
	m := colour.Adaptation(s.White, colour.ICCWhite()).Mul(s.ToXYZ)
	tags := []iccTag{{"desc", desc}}
	for i, c := range []string{"r", "g", "b"} {
		xyz := append([]byte("XYZ \x00\x00\x00\x00"), s15(m[0][i], m[1][i], m[2][i])...)
		tags = append(tags, iccTag{c + "XYZ", xyz}, iccTag{c + "TRC", curve})
	}
	return tags
}
