package surface

import (
	"image"
	"math"
	"testing"
)

func TestPolygonCountsItsArea(t *testing.T) {
	frame := image.Rect(0, 0, 400, 300)
	turned := func(angle float64) []Corner {
		sin, cos := math.Sincos(angle)
		var out []Corner
		for _, c := range []Corner{{-100, -40}, {100, -40}, {100, 40}, {-100, 40}} {
			out = append(out, Corner{200 + c.X*cos - c.Y*sin, 150 + c.X*sin + c.Y*cos})
		}
		return out
	}
	for _, angle := range []float64{0, .3, 1, math.Pi / 2, 2.5} {
		r := Polygon(turned(angle), frame)
		n := 0
		for _, in := range r.In {
			if in {
				n++
			}
		}
		// A cell is in or out by its centre: an edge of length l misses by about √l.
		if want := 200 * 80; math.Abs(float64(n-want)) > 30 {
			t.Errorf("turned by %.1f: %d cells, want %d", angle, n, want)
		}
	}
}

func TestPolygonKeepsToTheFrame(t *testing.T) {
	frame := image.Rect(0, 0, 10, 10)
	r := Polygon([]Corner{{-5, -5}, {50, -5}, {50, 5}, {-5, 5}}, frame)
	if !r.Rect.In(frame) || r.Rect.Dx()*r.Rect.Dy() != len(r.In) {
		t.Errorf("region %v with %d cells", r.Rect, len(r.In))
	}
	for _, odd := range [][]Corner{nil, {{1, 1}}, {{1, 1}, {2, 2}}, {{math.NaN(), 1}, {2, 2}, {3, 1}}, {{math.Inf(1), 1}, {2, 2}, {3, 1}}, {{20, 20}, {30, 20}, {30, 30}}} {
		if r := Polygon(odd, frame); !r.Rect.Empty() {
			t.Errorf("%v encloses %v", odd, r.Rect)
		}
	}
}
