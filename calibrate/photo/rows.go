package photo

import (
	"encoding/binary"
	"image"
	"image/color"
)

// rows returns the pixels x0 <= x < x1 of row y, four codes each: red, green,
// blue and one without meaning; in buf or in the picture itself. It reports
// whether all are opaque.
type rows[T uint8 | uint16] func(y, x0, x1 int, buf []T) (line []T, opaque bool)

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

// ycbcrRows converts as color.YCbCrToRGB does, to the last bit.
func ycbcrRows(img *image.YCbCr, shiftX, shiftY uint) rows[uint8] {
	return func(y, x0, x1 int, buf []uint8) ([]uint8, bool) {
		row := img.Y[y*img.YStride:][x0:x1]
		chroma := y >> shiftY * img.CStride
		c0, c1 := chroma+x0>>shiftX, chroma+(x1-1)>>shiftX+1
		cb, cr := img.Cb[c0:c1], img.Cr[c0:c1]
		buf = buf[:4*len(row)]
		out := buf
		for len(row) > 0 {
			b, r := int32(cb[0])-128, int32(cr[0])-128
			cb, cr = cb[1:], cr[1:]
			dr, dg, db := 91881*r, -22554*b-46802*r, 116130*b
			run := min((x0>>shiftX+1)<<shiftX-x0, len(row)) // pixels that share this chroma
			x0 += run
			for _, l := range row[:run] {
				yy := int32(l) * 0x10101
				out[0], out[1], out[2] = clamp(yy+dr), clamp(yy+dg), clamp(yy+db)
				out = out[4:]
			}
			row = row[run:]
		}
		return buf, true
	}
}

// clamp returns v/65536 rounded down, kept to 0..255.
func clamp(v int32) uint8 {
	if uint32(v)&0xff000000 == 0 {
		return uint8(v >> 16)
	}
	return uint8(^(v >> 31))
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
