package photo

import (
	"image"
	"runtime"
	"sync"
	"sync/atomic"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

// Light is summed in whole numbers so that a cell's sums do not depend on the
// order of its pixels: a picture gives bit for bit the same Field in any stored
// orientation. 24 bits resolve a 16-bit sRGB code near black into 20 steps; 18
// bits of luminance leave a variance of 1.2e-12; the sums over the 1.2e8 pixels
// of the largest photo stay under 2^63.
const (
	lightOne = 1 << 24 // full light in a channel
	lumOne   = 1 << 18 // full luminance
	// weightOne is 1 in a luminance weight.
	weightOne  = 1 << 16
	lumShift   = 24 + 16 - 18
	chunkWidth = 512 // pixels of a row worked on at once, to stay in the first cache
)

// sums adds up the pixels of one cell.
type sums struct {
	r, g, b, clipped uint64
	y, yy            int64
}

// tables turns codes of one kind into light.
type tables struct {
	r, g, b []uint32 // by code, in lightOne
	weights [3]int64 // luminance of each channel's full light, in weightOne
}

// newField averages the picture into cells, spread over the processors.
func newField(img image.Image, l layout, enc *encoding) (*colour.Field, error) {
	w, h := l.size()
	field := colour.NewField(w, h, l.cell)
	work, err := newWork(img, l, enc, field)
	if err != nil {
		return nil, err
	}
	var next, bad atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(l.y)-1) {
		wg.Go(func() {
			row := work()
			for bad.Load() == 0 {
				cy := int(next.Add(1)) - 1
				if cy >= len(l.y)-1 {
					return
				}
				if !row(cy) {
					bad.Store(1)
				}
			}
		})
	}
	wg.Wait()
	if bad.Load() != 0 {
		return nil, refusal.New(ErrUnsupported, "export the photo as a JPEG", "some of its pixels are transparent")
	}
	return field, nil
}

// rowWorker averages one row of cells; it reports false at a pixel that is not
// opaque. Each has buffers of its own.
type rowWorker func(cy int) bool

// newWork returns what makes rowWorkers for the picture's kind of samples.
func newWork(img image.Image, l layout, enc *encoding, field *colour.Field) (func() rowWorker, error) {
	to := target{l, enc.toWorking, field}
	switch img := img.(type) {
	case *image.YCbCr:
		shiftX, shiftY, ok := subsampling(img.SubsampleRatio)
		if ok {
			return worker(ycbcrRows(img, shiftX, shiftY), enc.tables(256), to), nil
		}
	case *image.Gray:
		return worker(greyRows(img), enc.tables(256), to), nil
	case *image.RGBA:
		return worker(rgbaRows(img.Pix, img.Stride), enc.tables(256), to), nil
	case *image.NRGBA:
		return worker(rgbaRows(img.Pix, img.Stride), enc.tables(256), to), nil
	case *image.Paletted:
		return worker(paletteRows(img), enc.tables(1<<16), to), nil
	case *image.Gray16:
		return worker(grey16Rows(img), enc.tables(1<<16), to), nil
	case *image.RGBA64:
		return worker(rgba64Rows(img.Pix, img.Stride), enc.tables(1<<16), to), nil
	case *image.NRGBA64:
		return worker(rgba64Rows(img.Pix, img.Stride), enc.tables(1<<16), to), nil
	}
	return nil, refusal.New(ErrUnsupported, "export it as an ordinary JPEG", "unsupported kind of samples (%T)", img)
}

// target is where the averages go.
type target struct {
	layout
	toWorking colour.Matrix
	field     *colour.Field
}

// worker returns what makes rowWorkers that read rows, whose codes t turns into
// light, and write to to.
func worker[T uint8 | uint16](rows rows[T], t tables, to target) func() rowWorker {
	cellsAtOnce := max(chunkWidth/to.cell, 1)
	return func() rowWorker {
		buf := make([]T, 4*min(cellsAtOnce*to.cell, to.stored.X))
		acc := make([]sums, cellsAtOnce)
		return func(cy int) bool {
			for c0 := 0; c0 < len(to.x)-1; c0 += cellsAtOnce {
				c1 := min(c0+cellsAtOnce, len(to.x)-1)
				clear(acc)
				for y := to.y[cy]; y < to.y[cy+1]; y++ {
					line, opaque := rows(y, to.x[c0], to.x[c1], buf)
					if !opaque {
						return false
					}
					addLine(line, to.x[c0:c1+1], acc, &t)
				}
				for i := range acc[:c1-c0] {
					n := (to.x[c0+i+1] - to.x[c0+i]) * (to.y[cy+1] - to.y[cy])
					to.put(to.index(c0+i, cy), acc[i], float64(n))
				}
			}
			return true
		}
	}
}

// addLine adds a line of pixels, four codes each, to the sums of the cells that
// begin at the edges. Pixels count as clipped from code 254 of 255 up, or the
// same share of 65535.
func addLine[T uint8 | uint16](line []T, edges []int, acc []sums, t *tables) {
	full := uint32(^T(0))
	head := full - full/255*254 + 1 // added to a clipped code it overflows
	size := int(full) + 1
	tr, tg, tb := t.r[:size], t.g[:size], t.b[:size]
	wr, wg, wb := t.weights[0], t.weights[1], t.weights[2]
	x := edges[0]
	for i, end := range edges[1:] {
		px := line[:4*(end-x)]
		line, x = line[4*(end-x):], end
		s := acc[i]
		for ; len(px) >= 4; px = px[4:] {
			cr, cg, cb := px[0], px[1], px[2]
			r, g, b := uint64(tr[cr]), uint64(tg[cg]), uint64(tb[cb])
			y := (wr*int64(r) + wg*int64(g) + wb*int64(b)) >> lumShift
			s.r += r
			s.g += g
			s.b += b
			s.y += y
			s.yy += y * y
			if uint32(cr)+head > full || uint32(cg)+head > full || uint32(cb)+head > full {
				s.clipped++
			}
		}
		acc[i] = s
	}
}

// put writes the cell at index i of the Field, the sums of n pixels.
func (to target) put(i int, s sums, n float64) {
	scale := 1 / (n * lightOne)
	rgb := to.toWorking.Apply([3]float64{float64(s.r) * scale, float64(s.g) * scale, float64(s.b) * scale})
	f := to.field
	f.RGB[3*i], f.RGB[3*i+1], f.RGB[3*i+2] = float32(rgb[0]), float32(rgb[1]), float32(rgb[2])
	f.Clipped[i] = uint8(float64(s.clipped)/n*255 + 0.5)
	if to.cell > 1 {
		mean := float64(s.y) / n
		f.Grain[i] = float32(max(float64(s.yy)/n-mean*mean, 0) / (lumOne * lumOne))
	}
}
