package surface

import (
	"image"
	"math"
	"slices"
)

// Corner is a place in a field, in cells: 0,0 is the outer corner of the first
// cell, whose centre is 0.5,0.5.
type Corner struct{ X, Y float64 }

// Polygon returns the region of the cells whose centres lie inside the outline,
// by the even-odd rule, clipped to within. Fewer than three corners, or corners
// that are not finite, enclose nothing.
func Polygon(outline []Corner, within image.Rectangle) Region {
	low, high := Corner{math.Inf(1), math.Inf(1)}, Corner{math.Inf(-1), math.Inf(-1)}
	for _, c := range outline {
		low = Corner{math.Min(low.X, c.X), math.Min(low.Y, c.Y)}
		high = Corner{math.Max(high.X, c.X), math.Max(high.Y, c.Y)}
	}
	if size := high.X - low.X + high.Y - low.Y; len(outline) < 3 || !(size < math.MaxInt32) {
		return Region{}
	}
	r := Region{Rect: image.Rect(int(math.Floor(low.X)), int(math.Floor(low.Y)), int(math.Ceil(high.X)), int(math.Ceil(high.Y))).Intersect(within)}
	r.In = make([]bool, r.Rect.Dx()*r.Rect.Dy())
	var crossings []float64
	for y := r.Rect.Min.Y; y < r.Rect.Max.Y; y++ {
		crossings = crossingsAt(float64(y)+.5, outline, crossings[:0])
		row := r.In[(y-r.Rect.Min.Y)*r.Rect.Dx():][:r.Rect.Dx()]
		for i := 0; i+1 < len(crossings); i += 2 {
			from := max(r.Rect.Min.X, int(math.Ceil(crossings[i]-.5)))
			to := min(r.Rect.Max.X, int(math.Ceil(crossings[i+1]-.5)))
			for x := from; x < to; x++ {
				row[x-r.Rect.Min.X] = true
			}
		}
	}
	return r
}

// crossingsAt appends to out, in order, where the outline crosses the row y.
func crossingsAt(y float64, outline []Corner, out []float64) []float64 {
	last := outline[len(outline)-1]
	for _, c := range outline {
		if (c.Y > y) != (last.Y > y) {
			out = append(out, c.X+(y-c.Y)/(last.Y-c.Y)*(last.X-c.X))
		}
		last = c
	}
	slices.Sort(out)
	return out
}
