package photo

import (
	"bytes"
	"image"
	"math"
)

// A JPEG stores the mean chroma of a block of 8×8 samples in steps of an eighth of its
// table's first entry. A decoder rounds it to whole codes, and all blocks of an even
// piece alike: an error of half a code, and so of up to 0.5 ΔE00 on dark leather, that
// no averaging takes away. So the decoder is handed the photo with larger entries in
// its chroma tables, by the factor that makes the steps whole codes; nothing else
// changes, and nothing is lost as long as the amplified chroma fits its 8 bits.

// amplified is a photo whose chroma samples are larger by a factor than JFIF's.
type amplified struct {
	*image.YCbCr
	chroma float64
}

// fits reports whether no sample of chroma is at an end of its range, where it would
// have been clamped.
func (a *amplified) fits() bool {
	for _, plane := range [2][]uint8{a.Cb, a.Cr} {
		if bytes.IndexByte(plane, 0) >= 0 || bytes.IndexByte(plane, 255) >= 0 {
			return false
		}
	}
	return true
}

const mostHeader = 16 << 20 // bytes before a photo's first scan

// amplify returns the JPEG's start up to its first scan with amplified chroma tables,
// and by how much; 1 when it cannot or need not be.
func (s *segments) amplify(src *source) (head []byte, factor float64) {
	if s.end == 0 || len(s.tables) != 3 || s.tables[1] == s.tables[0] || s.tables[2] != s.tables[1] {
		return nil, 1
	}
	if head = src.bytes(0, s.end, mostHeader); head == nil {
		return nil, 1
	}
	const size = 1 + 64 // bytes of a table: its number, and entries of a byte
	var entries []byte
	for _, at := range s.steps {
		for b := head[at.from:at.to]; len(b) >= size && b[0] < 16; b = b[size:] {
			if b[0] == s.tables[1] {
				entries = b[1:size] // the last to define it holds
			}
		}
	}
	if entries == nil {
		return nil, 1
	}
	factor = amplification(entries[0])
	for i, q := range entries {
		v := math.Round(factor * float64(q))
		if v > math.MaxUint8 {
			return nil, 1
		}
		entries[i] = byte(v)
	}
	return head, factor
}

// amplification returns the factor that makes an eighth of q a whole number of codes,
// or at least a half.
func amplification(q byte) float64 {
	switch {
	case q == 0:
		return 1
	case q < 3: // four times and more would leave no room for colours
		return 2
	}
	return float64((int(q)+7)/8*8) / float64(q)
}
