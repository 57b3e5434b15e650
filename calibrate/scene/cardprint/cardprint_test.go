package cardprint

import (
	"math"
	"testing"

	"evenhide/calibrate/card"
)

func TestNew(t *testing.T) {
	p, err := New("RWX3PN")
	if err != nil {
		t.Fatal(err)
	}
	l := card.NewLayout()
	const dot = 1.0 // of rounding to whole dots
	if w := float64(l.W) / p.MMPerPixel; math.Abs(float64(p.Image.Bounds().Dx())-w) > dot {
		t.Errorf("%v dots wide, want %v", p.Image.Bounds().Dx(), w)
	}
	if p.Swatch.X != float64(l.Swatch.X) || p.Hide.X != float64(l.Hide.X) {
		t.Errorf("windows at %v and %v", p.Swatch, p.Hide)
	}
	if _, err := New("no serial"); err == nil {
		t.Error("a card of no serial")
	}
}
