package picture

import (
	"image"
	"math"
	"runtime"
	"sync"

	"evenhide/colour"
	"evenhide/colour/surface"
)

// white is the byte that a perfect white becomes: a little under the top, so
// that paper brighter than its surroundings keeps some shape.
const white = 250

// develop scales the field to the photo's place in img, each pixel the mean of
// the cells under it in the camera's light, or between the nearest cells where
// the photo grows, and develops it.
func (v view) develop(img *image.RGBA, f *colour.Field, dev surface.Develop) {
	if v.photo.Empty() {
		return
	}
	if dev == nil {
		dev = func(_, _ float64, c colour.LinearRGB) colour.LinearRGB { return c }
	}
	dr := darkroom{v, dev, encodeTable()}
	print := dr.print
	if t := dr.tones(); t.trusted(f, dr) {
		print = t.print
	}
	xs, ys := newTaps(v.cells.X, v.photo.Dx()), newTaps(v.cells.Y, v.photo.Dy())
	const band = 32 // rows: small enough to share evenly, large enough to keep buffers
	bands := make(chan int)
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			wide, row := make([]float32, 3*f.W), make([]float32, 3*v.photo.Dx())
			for y0 := range bands {
				for y := y0; y < min(y0+band, v.photo.Dy()); y++ {
					ys.column(f, y, wide)
					xs.row(wide, row)
					print(img.Pix[img.PixOffset(v.photo.Min.X, v.photo.Min.Y+y):], row, y)
				}
			}
		})
	}
	for y := 0; y < v.photo.Dy(); y += band {
		bands <- y
	}
	close(bands)
	wg.Wait()
}

// darkroom turns the camera's light into bytes.
type darkroom struct {
	view
	dev   surface.Develop
	table []float32
}

// print writes row y of the photo, developing each pixel.
func (d darkroom) print(out []uint8, row []float32, y int) {
	sx, sy := d.scale()
	cy := (float64(y) + .5) / sy
	for x := 0; 3*x < len(row); x++ {
		c := colour.LinearRGB{R: float64(row[3*x]), G: float64(row[3*x+1]), B: float64(row[3*x+2])}
		b := d.bytes(d.dev((float64(x)+.5)/sx, cy, c))
		p := out[4*x : 4*x+4]
		for k, v := range b {
			p[k] = uint8(v + .5)
		}
		p[3] = 255
	}
}

func (d darkroom) bytes(c colour.LinearRGB) [3]float32 {
	return [3]float32{d.encode(c.R), d.encode(c.G), d.encode(c.B)}
}

const (
	// tableSize leaves steps of a hundredth of a byte at mid grey and a quarter
	// of a byte next to black.
	tableSize = 1 << 14
	tableTop  = 1.1 // reflectance; bytes end at 255 before it
)

// encodeTable returns the bytes, with their fractions, after the sRGB transfer
// function of IEC 61966-2-1, of reflectances from 0 to tableTop.
func encodeTable() []float32 {
	srgb := colour.SRGB()
	scale := srgb.Decode(white / 255.0)
	var light [256]float64 // of each byte
	for i := range light {
		light[i] = srgb.Decode(float64(i)/255) / scale
	}
	table := make([]float32, tableSize)
	below := 0
	for i := range table {
		v := float64(i) / (tableSize - 1) * tableTop
		for below < 254 && v > light[below+1] {
			below++
		}
		table[i] = float32(min(float64(below)+(v-light[below])/(light[below+1]-light[below]), 255))
	}
	return table
}

// encode returns the byte, with its fraction, of reflectance v.
func (d darkroom) encode(v float64) float32 {
	if !(v > 0) { // not a number is black too
		return d.table[0]
	}
	return d.table[int(min(v/tableTop, 1)*(tableSize-1)+.5)]
}

// taps says of which cells along one axis each pixel is made: of from[i] and
// those after it, with the weights from weight[first[i]] on. Weights of a pixel
// add up to 1.
type taps struct {
	from, first []int
	weight      []float32
}

// newTaps shares cells out to pixels: by overlap where there are fewer pixels,
// linearly between the two nearest centres where there are more.
func newTaps(cells, pixels int) taps {
	t := taps{first: []int{0}}
	step := float64(cells) / float64(pixels)
	reach := max(step, 1) // a growing photo's pixel blends over one cell
	for i := range pixels {
		mid := (float64(i) + .5) * step
		lo, hi := max(mid-reach/2, 0), min(mid+reach/2, float64(cells))
		from, to := int(lo), min(int(math.Ceil(hi)), cells)
		t.from = append(t.from, from)
		for k := from; k < to; k++ {
			share := (min(hi, float64(k+1)) - max(lo, float64(k))) / (hi - lo)
			t.weight = append(t.weight, float32(share))
		}
		t.first = append(t.first, len(t.weight))
	}
	return t
}

// column adds up the rows of f that make row y of the photo.
func (t taps) column(f *colour.Field, y int, out []float32) {
	clear(out)
	for k, w := range t.weight[t.first[y]:t.first[y+1]] {
		at := 3 * f.W * (t.from[y] + k)
		for i, v := range f.RGB[at : at+len(out)] {
			out[i] += w * v
		}
	}
}

// row adds up the cells of a row that make each of its pixels.
func (t taps) row(in, out []float32) {
	for i, from := range t.from {
		var r, g, b float32
		cells := in[3*from:]
		for k, w := range t.weight[t.first[i]:t.first[i+1]] {
			r, g, b = r+w*cells[3*k], g+w*cells[3*k+1], b+w*cells[3*k+2]
		}
		out[3*i], out[3*i+1], out[3*i+2] = r, g, b
	}
}
