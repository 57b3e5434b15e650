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
				if whole := shiftX == 1 && next-y0 == 2; whole && evenEdges(edges) {
					addQuads(table, first, second, img.Cb[c:last], img.Cr[c:last], edges, acc)
					y0 = next
					continue
				}
				addChromaRow(table, first, second[:width*(next-1-y0)], img.Cb[c:last], img.Cr[c:last], shiftX, edges, acc)
				y0 = next
			}
			return true
		}
	}
}

// evenEdges reports whether every cell holds whole samples of chroma that two
// columns share, and few enough for a run.
func evenEdges(edges []int) bool {
	odd := edges[0]
	for i, x := range edges[1:] {
		odd |= x
		if x-edges[i] > maxRun/2 {
			return false
		}
	}
	return odd&1 == 0
}

// addQuads is addChromaRow for what most phones write: four pixels share each
// sample of chroma, and a cell holds whole fours. It is three times as fast.
func addQuads(table *wideTables, first, second, cb, cr []uint8, edges []int, acc []sums) {
	for i, end := range edges[1:] {
		var s run
		var yy, clipped int64
		for c := edges[i] / 2; c < end/2; c++ {
			dr, dg, db := chroma(cb[c], cr[c])
			upper, lower := first[2*c:2*c+2], second[2*c:2*c+2]
			r0, g0, a0, over0 := table.lit(upper[0], dr, dg, db)
			r1, g1, a1, over1 := table.lit(upper[1], dr, dg, db)
			r2, g2, a2, over2 := table.lit(lower[0], dr, dg, db)
			r3, g3, a3, over3 := table.lit(lower[1], dr, dg, db)
			s.r, s.g, s.all = s.r+r0+r1+r2+r3, s.g+g0+g1+g2+g3, s.all+a0+a1+a2+a3
			y0, y1, y2, y3 := a0.luminance(), a1.luminance(), a2.luminance(), a3.luminance()
			yy += y0*y0 + y1*y1 + y2*y2 + y3*y3
			if (over0|over1|over2|over3)>>31 != 0 {
				clipped += int64(over0>>31 + over1>>31 + over2>>31 + over3>>31)
			}
		}
		acc[i].add(s, yy, clipped)
	}
}

// lit returns what a pixel adds to a run, and a word whose top bit is set when it
// is clipped.
func (t *wideTables) lit(luma uint8, dr, dg, db uint32) (r, g, all light, over uint32) {
	v := uint32(luma) * lumaUnit
	vr, vg, vb := v+dr, v+dg, v+db
	r, g = t[0][vr>>wideShift], t[1][vg>>wideShift]
	return r, g, r + g + t[2][vb>>wideShift], vr | vg | vb
}

// lumaUnit is what a code of luma adds to each channel of a wide index.
const lumaUnit = 0x10101 << wideUp

// chroma returns what a sample of chroma adds to the wide indices of red, green
// and blue.
func chroma(cb, cr uint8) (dr, dg, db uint32) {
	b, r := int32(cb)-128, int32(cr)-128
	return uint32(91881*r+wideOffset<<16) << wideUp,
		uint32(-22554*b-46802*r+wideOffset<<16) << wideUp,
		uint32(116130*b+wideOffset<<16) << wideUp
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
				dr, dg, db := chroma(cb[c], cr[c])
				n := 0
				for shared := min((c+1)<<shiftX, stop); x < shared; x++ {
					luma[n&7] = first[x]
					n++
					if x < len(second) {
						luma[n&7] = second[x]
						n++
					}
				}
				for _, l := range luma[:n] {
					v := uint32(l) * lumaUnit
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
