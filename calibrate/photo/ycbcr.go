package photo

import "image"

// wideTables is each channel's light by what color.YCbCrToRGB computes before
// it clamps to 0..255, which lies in -227..482, plus wideOffset.
type wideTables [3][1 << wideBits]light

const (
	wideBits = 10
	// wideOffset takes the first code that counts as clipped, 254, to the top bit.
	wideOffset = 1<<(wideBits-1) - 254
	// wideShift puts the index at the top of 32 bits: the standard library's
	// 16 bits of fraction, moved up by wideUp.
	wideShift = 32 - wideBits
	wideUp    = wideShift - 16
)

func widen(t [3][]light) *wideTables {
	var w wideTables
	for c := range w {
		for i := range w[c] {
			w[c][i] = t[c][min(max(i-wideOffset, 0), len(t[c])-1)]
		}
	}
	return &w
}

// ycbcrAdder makes adders of Y'CbCr samples with chroma shared by 1<<shiftX
// columns and 1<<shiftY rows, and not interpolated. The codes are those of
// color.YCbCrToRGB to the last bit, so that values agree with any other reader
// built on the standard library.
func ycbcrAdder(img *image.YCbCr, shiftX, shiftY uint, t [3][]light) func() adder {
	table := widen(t)
	width := img.Rect.Max.X
	return func() adder {
		return func(y0, y1 int, edges []int, acc []sums) bool {
			for y0 < y1 {
				c := y0 >> shiftY * img.CStride
				last := c + (width-1)>>shiftX + 1
				next := min((y0>>shiftY+1)<<shiftY, y1)
				first := img.Y[y0*img.YStride:][:width]
				second := img.Y[(next-1)*img.YStride:][:width]
				addChromaRow(table, first, second[:width*(next-1-y0)], img.Cb[c:last], img.Cr[c:last], shiftX, edges, acc)
				y0 = next
			}
			return true
		}
	}
}

// addChromaRow adds the one or two rows of luma that share a row of chroma;
// second is empty where there is one.
func addChromaRow(table *wideTables, first, second, cb, cr []uint8, shiftX uint, edges []int, acc []sums) {
	x := edges[0]
	var luma [8]uint8 // up to 4 columns and 2 rows share a sample of chroma
	for i, end := range edges[1:] {
		for x < end {
			var s run
			var yy, clipped int64
			for stop := min(x+maxRun/2, end); x < stop; {
				c := x >> shiftX
				b, r := int32(cb[c])-128, int32(cr[c])-128
				dr := uint32(91881*r+wideOffset<<16) << wideUp
				dg := uint32(-22554*b-46802*r+wideOffset<<16) << wideUp
				db := uint32(116130*b+wideOffset<<16) << wideUp
				n := 0
				if shared := c<<1 + 2; shiftX == 1 && x == c<<1 && shared <= stop && shared <= len(second) {
					f, s := first[x:x+2], second[x:x+2] // the usual case, without a loop
					luma[0], luma[1], luma[2], luma[3] = f[0], f[1], s[0], s[1]
					n, x = 4, shared
				}
				for shared := min((c+1)<<shiftX, stop); x < shared; x++ {
					luma[n&7] = first[x]
					n++
					if x < len(second) {
						luma[n&7] = second[x]
						n++
					}
				}
				for _, l := range luma[:n] {
					v := uint32(l) * (0x10101 << wideUp)
					vr, vg, vb := v+dr, v+dg, v+db
					lr, lg := table[0][vr>>wideShift], table[1][vg>>wideShift]
					all := lr + lg + table[2][vb>>wideShift]
					s.r, s.g, s.all = s.r+lr, s.g+lg, s.all+all
					y := all.luminance()
					yy += y * y
					clipped += int64((vr | vg | vb) >> 31)
				}
			}
			acc[i].add(s, yy, clipped)
		}
	}
}
