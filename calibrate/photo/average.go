package photo

import (
	"image"
	"math"
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

	chunkWidth = 512 // pixels of a row worked on at once, to stay in the first cache
	// bandRows is how many rows of cells a worker takes at once: where the picture
	// is turned a quarter they are columns of the Field, and share its cache lines.
	bandRows = 16
)

// light is what a code stands for, packed so that one look-up and one addition
// serve two sums: in the low 32 bits the light, in lightOne; in the high 32 the
// luminance it adds, in lumOne and signed. Up to maxRun pixels of three channels
// add up before one reaches the other.
type light uint64

const maxRun = 64

func packLight(v, luminance float64) light {
	return light(v*lightOne+0.5) | light(int64(math.Round(v*luminance*lumOne)))<<32
}

// luminance is the high half, of one light or of several added together.
func (l light) luminance() int64 { return int64(l) >> 32 }

// run is a sum of up to maxRun pixels, small enough to stay in registers while
// it grows: red alone, green alone, the three channels together.
type run struct{ r, g, all light }

// sums adds up the pixels of one cell.
type sums struct {
	r, g, b, y, yy, clipped int64
}

func (s *sums) add(r run, yy, clipped int64) {
	red, green := int64(uint32(r.r)), int64(uint32(r.g))
	s.r += red
	s.g += green
	s.b += int64(uint32(r.all)) - red - green
	s.y += r.all.luminance()
	s.yy += yy
	s.clipped += clipped
}

// readyField makes the field for a layout and touches its memory, which the system
// hands over page by page: meanwhile the decoder keeps only one core busy.
func readyField(l layout) <-chan *colour.Field {
	ready := make(chan *colour.Field, 1)
	go func() {
		w, h := l.size()
		f := colour.NewField(w, h, l.cell)
		clear(f.RGB)
		clear(f.Grain)
		ready <- f
	}()
	return ready
}

// average averages the picture into the field's cells, spread over the processors.
func average(img image.Image, l layout, enc *encoding, field *colour.Field) error {
	newAdder, err := adders(img, enc)
	if err != nil {
		return err
	}
	to := target{l, enc.toWorking, field}
	bands := (len(l.y) - 2 + bandRows) / bandRows
	var next, bad atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), bands) {
		wg.Go(func() {
			add := newAdder()
			for bad.Load() == 0 {
				band := int(next.Add(1)) - 1
				if band >= bands {
					return
				}
				if !to.average(band, add) {
					bad.Store(1)
				}
			}
		})
	}
	wg.Wait()
	if bad.Load() != 0 {
		return refusal.New(ErrUnsupported, "export the photo as a JPEG", "some of its pixels are transparent")
	}
	return nil
}

// target is where the averages go.
type target struct {
	layout
	toWorking colour.Matrix
	field     *colour.Field
}

// average writes a band of rows of cells; it reports false at a pixel that is
// not opaque.
func (to *target) average(band int, add adder) bool {
	cellsAtOnce := max(chunkWidth/to.cell, 1)
	acc := make([]sums, cellsAtOnce)
	columns, cy1 := len(to.x)-1, min((band+1)*bandRows, len(to.y)-1)
	for c0 := 0; c0 < columns; c0 += cellsAtOnce {
		c1 := min(c0+cellsAtOnce, columns)
		for cy := band * bandRows; cy < cy1; cy++ {
			clear(acc)
			if !add(to.y[cy], to.y[cy+1], to.x[c0:c1+1], acc) {
				return false
			}
			to.put(c0, c1, cy, acc)
		}
	}
	return true
}

// put writes the cells of columns c0 <= c < c1 in row cy of the stored picture.
func (to *target) put(c0, c1, cy int, acc []sums) {
	m, f := &to.toWorking, to.field
	first, step := to.index(c0, cy)
	for c := c0; c < c1; c++ {
		s, i := &acc[c-c0], first+(c-c0)*step
		n := float64((to.x[c+1] - to.x[c]) * (to.y[cy+1] - to.y[cy]))
		per := 1 / n
		scale := per / lightOne
		r, g, b := float64(s.r)*scale, float64(s.g)*scale, float64(s.b)*scale
		rgb := f.RGB[3*i : 3*i+3]
		rgb[0] = float32(m[0][0]*r + m[0][1]*g + m[0][2]*b)
		rgb[1] = float32(m[1][0]*r + m[1][1]*g + m[1][2]*b)
		rgb[2] = float32(m[2][0]*r + m[2][1]*g + m[2][2]*b)
		if s.clipped > 0 {
			f.Clipped[i] = uint8(float64(s.clipped)*per*255 + 0.5)
		}
		if to.cell > 1 {
			// Whole numbers up to 2^53 here, so a flat cell has exactly 0.
			if v := float64(s.yy)*n - float64(s.y)*float64(s.y); v > 0 {
				f.Grain[i] = float32(v * per * per / (lumOne * lumOne))
			}
		}
	}
}
