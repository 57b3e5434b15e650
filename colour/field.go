package colour

import "image"

// Field is a photo turned into light: a grid of cells, each the mean of
// Cell×Cell photo pixels in linear light, upright, in the working space. Rows
// run from the top, cells within a row from the left. A cell at the right or
// bottom edge may average fewer pixels.
type Field struct {
	W, H int // cells
	Cell int // photo pixels along a cell's side, at least 1

	// RGB has three values a cell: linear red, green and blue, 0..1.
	RGB []float32
	// Clipped is the share of a cell's pixels with a channel at the top of its
	// range: 0 none, 255 all.
	Clipped []uint8
	// Grain is the variance of the pixels' linear luminance within the cell,
	// what averaging took away; all 0 when Cell is 1.
	Grain []float32

	// Own takes linear colour from the working space to the photo's own primaries, in
	// which its camera bent the tones; nil when they are the same.
	Own *Matrix
}

// InOwn returns v, a colour of the working space, in the photo's own primaries.
func (f *Field) InOwn(v LinearRGB) LinearRGB {
	if f.Own == nil {
		return v
	}
	out := f.Own.Apply([3]float64{v.R, v.G, v.B})
	return LinearRGB{out[0], out[1], out[2]}
}

// NewField returns a black field of w×h cells.
func NewField(w, h, cell int) *Field {
	return &Field{W: w, H: h, Cell: cell,
		RGB: make([]float32, 3*w*h), Clipped: make([]uint8, w*h), Grain: make([]float32, w*h)}
}

// At returns the colour of the cell at column x, row y.
func (f *Field) At(x, y int) LinearRGB {
	p := f.RGB[3*(y*f.W+x):]
	return LinearRGB{float64(p[0]), float64(p[1]), float64(p[2])}
}

// Bounds returns the rectangle of all cells.
func (f *Field) Bounds() image.Rectangle { return image.Rect(0, 0, f.W, f.H) }

// Cells returns the cells that lie wholly inside the rectangle of photo pixels.
// It is empty when none does.
func (f *Field) Cells(pixels image.Rectangle) image.Rectangle {
	up := func(v int) int { return (v + f.Cell - 1) / f.Cell }
	// Not image.Rect, which would turn the inside-out rectangle of "none" round.
	r := image.Rectangle{
		Min: image.Pt(up(pixels.Min.X), up(pixels.Min.Y)),
		Max: image.Pt(pixels.Max.X/f.Cell, pixels.Max.Y/f.Cell),
	}
	return r.Intersect(f.Bounds())
}
