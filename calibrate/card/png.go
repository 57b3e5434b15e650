package card

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
)

// PNGDotsPerInch is the resolution of WritePNG.
const PNGDotsPerInch = 300

const mmPerInch = 25.4

// WritePNG writes the card alone as an 8-bit grey PNG of 300 dots per inch.
func WritePNG(w io.Writer, serial string) error {
	img, err := raster(serial, PNGDotsPerInch/mmPerInch)
	if err != nil {
		return err
	}
	var buf bytes.Buffer
	if err := png.Encode(&buf, img); err != nil {
		return fmt.Errorf("card as png: %w", err)
	}
	const head = 8 + 25 // signature and IHDR, which comes first
	for _, part := range [][]byte{buf.Bytes()[:head], chunk("tEXt", []byte("Title\x00"+Mark)), physChunk(), buf.Bytes()[head:]} {
		if _, err := w.Write(part); err != nil {
			return fmt.Errorf("card as png: %w", err)
		}
	}
	return nil
}

// physChunk returns the chunk that states the resolution, which image/png does
// not write (PNG specification, 11.3.4.3).
func physChunk() []byte {
	perMetre := uint32(math.Round(PNGDotsPerInch / mmPerInch * 1000))
	data := binary.BigEndian.AppendUint32(nil, perMetre)
	data = binary.BigEndian.AppendUint32(data, perMetre)
	return chunk("pHYs", append(data, 1)) // the unit is the metre
}

// chunk returns a chunk of a PNG (PNG specification, 5.3).
func chunk(name string, data []byte) []byte {
	c := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	c = append(append(c, name...), data...)
	return binary.BigEndian.AppendUint32(c, crc32.ChecksumIEEE(c[4:]))
}

// raster draws the card with the given pixels a millimetre.
func raster(serial string, perMM float64) (*image.Gray, error) {
	l := NewLayout()
	d, err := l.draw(serial)
	if err != nil {
		return nil, err
	}
	img := image.NewGray(image.Rect(0, 0, int(math.Round(float64(l.W)*perMM)), int(math.Round(float64(l.H)*perMM))))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, f := range d.fills {
		paint(img, f, perMM)
	}
	types, err := newTypefaces()
	if err != nil {
		return nil, err
	}
	for _, lab := range d.labels {
		if err := letter(img, types, lab, perMM); err != nil {
			return nil, err
		}
	}
	return img, nil
}

// paint fills a box; a pixel that it covers in part is darkened in proportion, so
// that boxes which share an edge leave no seam.
func paint(img *image.Gray, f fill, perMM float64) {
	x0, x1 := float64(f.box.X)*perMM, float64(f.box.X+f.box.W)*perMM
	y0, y1 := float64(f.box.Y)*perMM, float64(f.box.Y+f.box.H)*perMM
	cover := func(i int, from, to float64) float64 {
		return max(0, min(to, float64(i+1))-max(from, float64(i)))
	}
	area := image.Rect(int(x0), int(y0), int(math.Ceil(x1)), int(math.Ceil(y1))).Intersect(img.Rect)
	for y := area.Min.Y; y < area.Max.Y; y++ {
		for x := area.Min.X; x < area.Max.X; x++ {
			share := cover(x, x0, x1) * cover(y, y0, y1)
			p := &img.Pix[img.PixOffset(x, y)]
			*p = uint8(math.Round(max(0, float64(*p)-share*float64(255-f.grey))))
		}
	}
}

func letter(img *image.Gray, types typefaces, l label, perMM float64) error {
	face, err := types.face(l, float64(l.size)*perMM)
	if err != nil {
		return err
	}
	width, err := types.width(l)
	if err != nil {
		return err
	}
	at := func(mm Millimetres) fixed.Int26_6 { return fixed.Int26_6(math.Round(float64(mm) * perMM * 64)) }
	pen := font.Drawer{Dst: img, Src: image.NewUniform(color.Gray{Y: l.grey}), Face: face,
		Dot: fixed.Point26_6{X: at(l.start(width)), Y: at(l.at.Y)}}
	pen.DrawString(l.text)
	return nil
}
