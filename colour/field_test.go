package colour

import (
	"image"
	"testing"
)

func TestFieldAt(t *testing.T) {
	f := NewField(3, 2, 4)
	copy(f.RGB[3*(1*3+2):], []float32{0.25, 0.5, 0.75}) // column 2, row 1
	if got := f.At(2, 1); got != (LinearRGB{0.25, 0.5, 0.75}) {
		t.Errorf("At(2, 1) = %v", got)
	}
}

func TestFieldCells(t *testing.T) {
	f := NewField(10, 8, 4)
	for _, c := range []struct {
		name         string
		pixels, want image.Rectangle
	}{
		{"on the grid", image.Rect(4, 8, 12, 16), image.Rect(1, 2, 3, 4)},
		{"off the grid shrinks", image.Rect(3, 5, 13, 19), image.Rect(1, 2, 3, 4)},
		{"beyond the field", image.Rect(-9, -9, 999, 999), f.Bounds()},
		{"within one cell", image.Rect(5, 5, 7, 7), image.Rectangle{}},
		{"across a corner, no whole cell", image.Rect(5, 5, 11, 11), image.Rectangle{}},
		{"elsewhere", image.Rect(100, 100, 120, 120), image.Rectangle{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := f.Cells(c.pixels); got != c.want {
				t.Errorf("%v, want %v", got, c.want)
			}
		})
	}
}
