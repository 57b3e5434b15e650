package calibrate

import (
	"image"
	"math"
	"testing"

	"evenhide/colour"
	"evenhide/colour/surface"
)

// Two rows of greys in opposite order, in light that falls off along both axes.
func TestLightOfCopies(t *testing.T) {
	const side, gx, gy = 20, -.0012, .0008 // cells; log light a cell
	f := colour.NewField(side*12, side*6, 1)
	var steps []Step
	for row, top := range []int{0, 5 * side} {
		for i := range 12 {
			level := i
			if row == 1 {
				level = 11 - i
			}
			l := 95 - 6*float64(level)
			r := image.Rect(i*side, top, (i+1)*side, top+side)
			for y := r.Min.Y; y < r.Max.Y; y++ {
				for x := r.Min.X; x < r.Max.X; x++ {
					v := float32(.8 * colour.Luminance(l) * math.Exp(gx*float64(x)+gy*float64(y)))
					copy(f.RGB[3*(y*f.W+x):], []float32{v, v, v})
				}
			}
			steps = append(steps, Step{Region: surface.Region{Rect: r}, L: l})
		}
	}
	cal, err := Fit(f, steps)
	if err != nil {
		t.Fatal(err)
	}
	light := cal.LightOfCopies()
	if light == nil {
		t.Fatal("no light from the copies")
	}
	// The first curve was fitted through greys in uneven light, and is a little off.
	const tolerance = .05
	at := light.At(200, 100)
	x, y := middle(cal.Steps)
	if want := math.Exp(gx*(200-x) + gy*(100-y)); math.Abs(at.G/want-1) > tolerance {
		t.Errorf("light %.3f, want %.3f", at.G, want)
	}
	if one, err := Fit(f, steps[:12]); err != nil || one.LightOfCopies() != nil {
		t.Errorf("light from greys without copies (%v)", err)
	}
}
