package photo

import (
	"encoding/binary"
	"image"
	"image/color"
	"math/bits"

	"evenhide/calibrate/refusal"
)

// adder adds the rows y0 <= y < y1 of the picture to the sums of the cells whose
// edges are given. It reports whether all the pixels are opaque. One goroutine
// may use it.
type adder func(y0, y1 int, edges []int, acc []sums) bool

// adders returns what makes adders for the picture's kind of samples.
func adders(img image.Image, enc *encoding) (func() adder, error) {
	switch img := img.(type) {
	case *image.YCbCr:
		return adders(&amplified{img, 1}, enc)
	case *amplified:
		if shiftX, shiftY, ok := subsampling(img.SubsampleRatio); ok {
			return ycbcrAdder(img.YCbCr, img.chroma, shiftX, shiftY, enc.tables(codes)), nil
		}
	case *image.Gray:
		return lineAdder(greyRows(img), enc.tables(256)), nil
	case *image.RGBA:
		return lineAdder(rgbaRows(img.Pix, img.Stride), enc.tables(256)), nil
	case *image.NRGBA:
		return lineAdder(rgbaRows(img.Pix, img.Stride), enc.tables(256)), nil
	case *image.Paletted:
		return lineAdder(paletteRows(img), enc.tables(1<<16)), nil
	case *image.Gray16:
		return lineAdder(grey16Rows(img), enc.tables(1<<16)), nil
	case *image.RGBA64:
		return lineAdder(rgba64Rows(img.Pix, img.Stride), enc.tables(1<<16)), nil
	case *image.NRGBA64:
		return lineAdder(rgba64Rows(img.Pix, img.Stride), enc.tables(1<<16)), nil
	}
	return nil, refusal.New(ErrUnsupported, "export it as an ordinary JPEG", "unsupported kind of samples (%T)", img)
}

// rows returns the pixels x0 <= x < x1 of row y, four codes each: red, green,
// blue and one without meaning; in buf or in the picture itself. It reports
// whether all are opaque.
type rows[T uint8 | uint16] func(y, x0, x1 int, buf []T) (line []T, opaque bool)

// lineAdder makes adders of lines of codes, which t turns into light.
func lineAdder[T uint8 | uint16](rows rows[T], t [3][]light) func() adder {
	return func() adder {
		var buf []T
		return func(y0, y1 int, edges []int, acc []sums) bool {
			from, to := edges[0], edges[len(edges)-1]
			if len(buf) < 4*(to-from) {
				buf = make([]T, 4*(to-from))
			}
			for y := y0; y < y1; y++ {
				line, opaque := rows(y, from, to, buf)
				if !opaque {
					return false
				}
				addLine(line, edges, acc, &t)
			}
			return true
		}
	}
}

// addLine adds a line of pixels. Those with a code from 254 of 255 up, or the
// same share of 65535, count as clipped.
func addLine[T uint8 | uint16](line []T, edges []int, acc []sums, t *[3][]light) {
	codes := uint32(^T(0)) + 1
	toTop := codes - (codes-1)/255*254 // takes the first clipped code to codes, a power of two
	top := bits.TrailingZeros32(codes)
	x := edges[0]
	for i, end := range edges[1:] {
		for x < end {
			var s run
			var yy, clipped int64
			for stop := min(x+maxRun, end); x < stop; x++ {
				cr, cg, cb := line[0], line[1], line[2]
				line = line[4:]
				lr, lg := t[0][cr], t[1][cg]
				all := lr + lg + t[2][cb]
				s.r, s.g, s.all = s.r+lr, s.g+lg, s.all+all
				y := all.luminance()
				yy += y * y
				clipped += int64(((uint32(cr) + toTop) | (uint32(cg) + toTop) | (uint32(cb) + toTop)) >> top)
			}
			acc[i].add(s, yy, clipped)
		}
	}
}

// subsampling returns by how many bits the chroma samples' coordinates are
// shifted.
func subsampling(r image.YCbCrSubsampleRatio) (x, y uint, ok bool) {
	switch r {
	case image.YCbCrSubsampleRatio444:
		return 0, 0, true
	case image.YCbCrSubsampleRatio422:
		return 1, 0, true
	case image.YCbCrSubsampleRatio420:
		return 1, 1, true
	case image.YCbCrSubsampleRatio440:
		return 0, 1, true
	case image.YCbCrSubsampleRatio411:
		return 2, 0, true
	case image.YCbCrSubsampleRatio410:
		return 2, 1, true
	}
	return 0, 0, false
}

func greyRows(img *image.Gray) rows[uint8] {
	return func(y, x0, x1 int, buf []uint8) ([]uint8, bool) {
		row := img.Pix[y*img.Stride:][x0:x1]
		for i, v := range row {
			p := buf[4*i : 4*i+4]
			p[0], p[1], p[2] = v, v, v
		}
		return buf[:4*len(row)], true
	}
}

// rgbaRows serves image.RGBA and image.NRGBA: opaque pixels are the same in both.
func rgbaRows(pix []uint8, stride int) rows[uint8] {
	return func(y, x0, x1 int, _ []uint8) ([]uint8, bool) {
		line := pix[y*stride:][4*x0 : 4*x1]
		alpha := uint8(0xff)
		for i := 3; i < len(line); i += 4 {
			alpha &= line[i]
		}
		return line, alpha == 0xff
	}
}

func grey16Rows(img *image.Gray16) rows[uint16] {
	return func(y, x0, x1 int, buf []uint16) ([]uint16, bool) {
		row := img.Pix[y*img.Stride:][2*x0 : 2*x1]
		for i := range x1 - x0 {
			v := binary.BigEndian.Uint16(row[2*i:])
			p := buf[4*i : 4*i+4]
			p[0], p[1], p[2] = v, v, v
		}
		return buf[:4*(x1-x0)], true
	}
}

// rgba64Rows serves image.RGBA64 and image.NRGBA64.
func rgba64Rows(pix []uint8, stride int) rows[uint16] {
	return func(y, x0, x1 int, buf []uint16) ([]uint16, bool) {
		row := pix[y*stride:][8*x0 : 8*x1]
		buf = buf[:4*(x1-x0)]
		alpha := uint16(0xffff)
		for i := range buf {
			buf[i] = binary.BigEndian.Uint16(row[2*i:])
			if i&3 == 3 {
				alpha &= buf[i]
			}
		}
		return buf, alpha == 0xffff
	}
}

// paletteRows looks codes up in the palette. Its length has been checked against
// the picture's indices; one beyond it would read as transparent.
func paletteRows(img *image.Paletted) rows[uint16] {
	var table [256][4]uint16
	for i, c := range img.Palette[:min(len(img.Palette), 256)] {
		v := color.NRGBA64Model.Convert(c).(color.NRGBA64)
		table[i] = [4]uint16{v.R, v.G, v.B, v.A}
	}
	return func(y, x0, x1 int, buf []uint16) ([]uint16, bool) {
		row := img.Pix[y*img.Stride:][x0:x1]
		alpha := uint16(0xffff)
		for i, index := range row {
			copy(buf[4*i:4*i+4], table[index][:])
			alpha &= table[index][3]
		}
		return buf[:4*len(row)], alpha == 0xffff
	}
}
