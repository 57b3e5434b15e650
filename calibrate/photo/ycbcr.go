package photo

import (
	"image"
	"math"
)

// wideTables is each channel's light by its code, to the nearest quarter of one: a
// JPEG's chroma is so even that a fraction dropped is dropped all over a piece. Codes
// are those of JFIF before they are clamped to 0..255, from -227 to 482, plus
// wideOffset.
type wideTables struct {
	light [3][1 << wideBits]light
	// What a step of Cb or Cr adds to the wide indices.
	redByCr, greenByCb, greenByCr, blueByCb int32
}

const (
	wholeBits = 10 // of an index's whole codes
	fineBits  = 2  // of their fraction
	wideBits  = wholeBits + fineBits
	codes     = 255<<fineBits + 1
	// wideOffset takes the first code that counts as clipped, 254, to the top bit.
	wideOffset = 1<<(wholeBits-1) - 254
	// wideShift puts the index at the top of 32 bits, above 16 bits of fraction and
	// wideUp more.
	wideShift = 32 - wideBits
	wideUp    = 32 - wholeBits - 16
	nearest   = 1 << (15 - fineBits) // half of the last bit that is kept
)

// widen takes the light of codes' quarters to indices; chroma is by what factor the
// samples' chroma is larger than JFIF's.
func widen(t [3][]light, chroma float64) *wideTables {
	w := &wideTables{}
	for c := range w.light {
		for i := range w.light[c] {
			w.light[c][i] = t[c][min(max(i-wideOffset<<fineBits, 0), codes-1)]
		}
	}
	step := func(of float64) int32 { return int32(math.Round(of * (1 << 16) / chroma)) }
	w.redByCr, w.greenByCb, w.greenByCr, w.blueByCb = step(1.402), step(-.344136), step(-.714136), step(1.772)
	return w
}

// ycbcrAdder makes adders of Y'CbCr samples (JFIF: ITU-T T.871, 7) with chroma shared
// by 1<<shiftX columns and 1<<shiftY rows, and not interpolated.
func ycbcrAdder(img *image.YCbCr, chroma float64, shiftX, shiftY uint, t [3][]light) func() adder {
	table := widen(t, chroma)
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
			dr, dg, db := table.chroma(cb[c], cr[c])
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
	r, g = t.light[0][vr>>wideShift], t.light[1][vg>>wideShift]
	return r, g, r + g + t.light[2][vb>>wideShift], vr | vg | vb
}

// lumaUnit is what a code of luma adds to each channel of a wide index.
const lumaUnit = 1 << (16 + wideUp)

// chroma returns what a sample of chroma adds to the wide indices of red, green
// and blue.
func (t *wideTables) chroma(cb, cr uint8) (dr, dg, db uint32) {
	const from = wideOffset<<16 + nearest
	b, r := int32(cb)-128, int32(cr)-128
	return uint32(t.redByCr*r+from) << wideUp,
		uint32(t.greenByCb*b+t.greenByCr*r+from) << wideUp,
		uint32(t.blueByCb*b+from) << wideUp
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
				dr, dg, db := table.chroma(cb[c], cr[c])
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
					lr, lg := table.light[0][vr>>wideShift], table.light[1][vg>>wideShift]
					all := lr + lg + table.light[2][vb>>wideShift]
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
