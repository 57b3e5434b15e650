package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"runtime"
	"testing"
	"time"
)

const (
	// hostileTime is far more than any of these takes and far less than following
	// what they ask for would.
	hostileTime = time.Second
	// hostileBytes is what reading a small hostile file may allocate in all: its
	// parts, each within its cap, and the tables.
	hostileBytes = 40 << 20
)

// TestHostileFilesCostLittle opens small files that ask for much.
func TestHostileFilesCostLittle(t *testing.T) {
	huge := bytes.Repeat([]byte{0xff}, 4)
	small := noise(4, 4)
	one := read(t, "grey.jpg")
	const tooLong = "tan.jpg: colour profile over the 4194304 bytes allowed"
	for name, c := range map[string]struct {
		data []byte
		text string // "" where the photo is read
	}{
		"directories in circles": {circles(), "tan.jpg: damaged TIFF: inconsistent header"},
		"EXIF with huge counts":  {withEXIF(one, hugeCounts()), ""},
		"profile inflates":       {pngWith(t, small, "iCCP", iccp(make([]byte, 64<<20))), tooLong},
		"profile of 4 GB":        {bytes.Replace(pngWith(t, small, "iCCP", []byte("abcd")), []byte("\x00\x00\x00\x04iCCP"), append(huge, "iCCP"...), 1), tooLong},
		"TIFF profile of 4 GB":   {tiffSize(4, 4, 8, tiffEntry{34675, 7, make([]byte, maxProfile+1)}), fmt.Sprintf("tan.jpg: colour profile of %d bytes, over the %d allowed", maxProfile+1, maxProfile)},
		"TIFF of 2^32 strips":    {tiffStrips(1<<32 - 1), "tan.jpg: damaged TIFF: IFD data too large"},
		"TIFF of 100 000 strips": {tiffStrips(100_000), "tan.jpg: damaged TIFF: ends after %d bytes, before the picture does"},
		"profile in 255 parts":   {withProfile(one, bytes.Repeat([]byte("icc "), 255*60000/4), 255), fmt.Sprintf("tan.jpg: colour profile of %d bytes or more, over the %d allowed", 255*60014, maxProfile)},
		"profile lacking a part": {withSegments(one, 0xe2, append([]byte("ICC_PROFILE\x00\x02\x02"), 1, 2, 3)), "tan.jpg: damaged colour profile: part 1 of 2 is missing"},
		"profile of part 0 of 0": {withSegments(one, 0xe2, append([]byte("ICC_PROFILE\x00\x00\x00"), 1, 2, 3)), "tan.jpg: damaged colour profile: 0 bytes that are no ICC profile"},
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			start := time.Now()
			_, err := Decode(bytes.NewReader(c.data), "tan.jpg", Limits{})
			took := time.Since(start)
			runtime.ReadMemStats(&after)
			if took > hostileTime {
				t.Errorf("took %v, want under %v", took, hostileTime)
			}
			if got := after.TotalAlloc - before.TotalAlloc; got > hostileBytes {
				t.Errorf("allocated %d bytes, want under %d", got, hostileBytes)
			}
			want := c.text
			if bytes.Contains([]byte(want), []byte("%d")) {
				want = fmt.Sprintf(want, len(c.data))
			}
			got := ""
			if err != nil {
				got = err.Error()
			}
			if got != want {
				t.Errorf("error\n got %s\nwant %s", got, want)
			}
		})
	}
}

// circles returns a TIFF that points at one directory by the hundred, whose
// entries are each too long to be read and so are not counted as tags.
func circles() []byte {
	const entries, pointers = 65535, 250 // 250 longs are the longest value that is read
	first := func(at int) []byte {
		to := bytes.Repeat(binary.BigEndian.AppendUint32(nil, uint32(at)), pointers)
		return tiffSize(4, 4, 8, tiffEntry{0x014a, 4, to})
	}
	b := binary.BigEndian.AppendUint16(first(len(first(0))), entries)
	return append(b, bytes.Repeat([]byte{0x92, 0x86, 0, 7, 0, 0, 0x50, 0, 0, 0, 0, 8}, entries)...)
}

func hugeCounts() []byte {
	b := tiffStructure([]tiffEntry{{0x010f, 2, make([]byte, 4)}, {0x0110, 2, make([]byte, 4)}, {0x8769, 4, make([]byte, 4)}})
	for i := range 3 {
		binary.BigEndian.PutUint32(b[8+2+12*i+4:], 0xffffffff-uint32(i)<<16)
	}
	return b
}

// tiffStrips returns a TIFF header that says it has so many strips.
func tiffStrips(n uint32) []byte {
	b := tiffSize(10, 100_000, 8, tiffEntry{273, 4, make([]byte, 4)}, tiffEntry{278, 3, []byte{0, 1}}, tiffEntry{279, 4, make([]byte, 4)})
	for _, tag := range []string{"\x01\x11\x00\x04", "\x01\x17\x00\x04"} {
		binary.BigEndian.PutUint32(b[bytes.Index(b, []byte(tag))+4:], n)
	}
	return b
}
