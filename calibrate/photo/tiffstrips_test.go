package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"slices"
	"testing"
)

// TestTIFFInOneStrip reads pictures over the size at which their strip is split,
// in both byte orders, against the decoder's own reading of the whole.
func TestTIFFInOneStrip(t *testing.T) {
	small := noise(600, 350)
	wide := image.NewNRGBA64(small.Rect)
	for i, v := range small.Pix {
		wide.Pix[2*i], wide.Pix[2*i+1] = v, v^uint8(i%4/3*255^255)
	}
	for i := 6; i < len(wide.Pix); i += 8 {
		wide.Pix[i], wide.Pix[i+1] = 0xff, 0xff
	}
	little := tiffOf(t, wide)
	for name, data := range map[string][]byte{
		"little-endian": little, "odd length": append(slices.Clone(little), 0), "big-endian": bigEndianTIFF(wide),
	} {
		src, err := newSource(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if readDirectory(src).splitStrip(src, &header{width: 600, height: 350}) == nil {
			t.Errorf("%s: the strip is not split: the test shows nothing", name)
		}
		checkField(t, decodeBytes(t, data, Limits{MaxCells: cellsFor(600, 350, 2)}).Field, reference(wide, 1, 2))
	}
}

// bigEndianTIFF writes an opaque picture as 16-bit RGB in one strip without
// saying how many rows that has.
func bigEndianTIFF(img *image.NRGBA64) []byte {
	var pixels []byte
	for i := 0; i < len(img.Pix); i += 8 {
		pixels = append(pixels, img.Pix[i:i+6]...)
	}
	structure := func(at int) []byte {
		return tiffSize(uint32(img.Rect.Dx()), uint32(img.Rect.Dy()), 16,
			tiffEntry{273, 4, binary.BigEndian.AppendUint32(nil, uint32(at))},
			tiffEntry{279, 4, binary.BigEndian.AppendUint32(nil, uint32(len(pixels)))})
	}
	return append(structure(len(structure(0))), pixels...)
}
