package surface

import (
	"image"
	"math"
	"testing"

	"evenhide/colour"
)

// TestLeftOutShowsWhatMeasureCounts holds the cells against the shares that
// Measure reports of the same region, and against where the spot and the clipped
// rows were put.
func TestLeftOutShowsWhatMeasureCounts(t *testing.T) {
	f := leather(320, 240, brown(), 31)
	spot := image.Pt(200, 100)
	const radius = 15
	for i := range f.Clipped {
		x, y := i%320, i/320
		switch d := math.Hypot(float64(x-spot.X), float64(y-spot.Y)); {
		case d < radius:
			copy(f.RGB[3*i:], []float32{.9, .85, .8})
		case y >= 200 && y < 204:
			f.Clipped[i] = 255
		}
	}
	rd := measured(t, f, eight())
	out := LeftOut(f, all(f), nil, eight())
	n := 0
	for i, in := range out.In {
		p := out.Rect.Min.Add(image.Pt(i%out.Rect.Dx(), i/out.Rect.Dx()))
		off := p.Sub(spot)
		d := math.Hypot(float64(off.X), float64(off.Y))
		must, may := d < radius || p.Y >= 200 && p.Y < 204, d < radius+5 // its rim
		if in {
			n++
		}
		if in && !must && !may || must && !in {
			t.Fatalf("cell %v left out: %v", p, in)
		}
	}
	want := (rd.GlarePercent + rd.ClippedPercent) / 100 * float64(len(out.In))
	near(t, "cells", float64(n), want, .5)
}

func TestNothingLeftOut(t *testing.T) {
	f := leather(320, 240, brown(), 31)
	for name, r := range map[string]Region{"whole": all(f), "outside": {Rect: image.Rect(900, 900, 950, 950)}} {
		if got := LeftOut(f, r, nil, eight()); !got.Rect.Empty() {
			t.Errorf("%s: %v", name, got.Rect)
		}
	}
	if got := LeftOut(&colour.Field{}, Region{}, nil, Options{}); !got.Rect.Empty() {
		t.Errorf("no field: %v", got.Rect)
	}
}
