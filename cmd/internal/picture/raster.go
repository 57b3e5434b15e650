package picture

import (
	"image"
	"image/color"
	"math"
)

// raster turns outlines into the share of each pixel that they cover. Every edge
// adds, in each row it crosses, the height it spans there to the pixel it lies
// in, less what of that pixel lies to its left; running sums along the row are
// then the coverage. (golang.org/x/image/vector does the same, but needs a
// module for processor features that nothing else here does.)
type raster struct {
	box image.Rectangle
	sum []float32 // rows of box.Dx()+2
}

func newRaster(box image.Rectangle) *raster {
	return &raster{box, make([]float32, (box.Dx()+2)*box.Dy())}
}

// add adds the outline, closed. Overlapping outlines that go the same way round
// make one shape.
func (r *raster) add(shape polygon) {
	for i, b := range shape {
		a := shape[(i+len(shape)-1)%len(shape)]
		dx, dy := float64(r.box.Min.X), float64(r.box.Min.Y)
		r.edge(point{a.x - dx, a.y - dy}, point{b.x - dx, b.y - dy})
	}
}

func (r *raster) edge(a, b point) {
	if a.y == b.y {
		return
	}
	sign := 1.0
	if a.y > b.y {
		a, b, sign = b, a, -1
	}
	slope := (b.x - a.x) / (b.y - a.y)
	from, to := max(a.y, 0), min(b.y, float64(r.box.Dy()))
	for y := int(from); float64(y) < to; y++ {
		top, bottom := max(from, float64(y)), min(to, float64(y+1))
		row := r.sum[y*(r.box.Dx()+2):][:r.box.Dx()+2]
		span(row, a.x+(top-a.y)*slope, a.x+(bottom-a.y)*slope, sign*(bottom-top))
	}
}

// span adds to a row an edge that goes from x0 to x1 in it and spans height.
// Beyond the row's ends it counts as at them.
func span(row []float32, x0, x1, height float64) {
	end := float64(len(row) - 2)
	x0, x1 = min(max(min(x0, x1), 0), end), min(max(x0, x1, 0), end)
	for i := int(x0); ; i++ {
		lo, hi := max(x0, float64(i)), min(x1, float64(i+1))
		part := height
		if x1 > x0 {
			part *= (hi - lo) / (x1 - x0)
		}
		left := (lo+hi)/2 - float64(i)
		row[i] += float32(part * (1 - left))
		row[i+1] += float32(part * left)
		if float64(i+1) >= x1 {
			return
		}
	}
}

// paint lays the colour over img where the outlines are.
func (r *raster) paint(img *image.RGBA, with color.RGBA) {
	const hair = 1. / 512 // less is rounding left over from sums
	for y := range r.box.Dy() {
		row := r.sum[y*(r.box.Dx()+2):]
		pix := img.Pix[img.PixOffset(r.box.Min.X, r.box.Min.Y+y):]
		cover := float32(0)
		for x := range r.box.Dx() {
			cover += row[x]
			share := min(float32(math.Abs(float64(cover))), 1)
			if share < hair {
				continue
			}
			p := pix[4*x : 4*x+4]
			for k, v := range [4]uint8{with.R, with.G, with.B, 255} {
				p[k] = uint8(float32(p[k])*(1-share) + float32(v)*share + .5)
			}
		}
	}
}
