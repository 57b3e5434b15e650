package calibrate

import (
	"math"
	"testing"

	"evenhide/colour"
)

// A dip of the light, as a soft shadow makes, that the surface cannot follow: what the
// surface is off by at the piece, the sheet beside it tells to a third.
func TestSheetBesideAPieceTellsItsLight(t *testing.T) {
	const deep, wide = .08, 130.0
	dip := func(x, y float64) float64 {
		return 1 - deep*math.Exp(-((x-500)*(x-500)+(y-350)*(y-350))/(2*wide*wide))
	}
	light := func(x, y float64) [3]float64 { d := .8 * dip(x, y); return [3]float64{d, d, d} }
	s, ps := onPaper(t, light, func(x, y float64) (colour.LinearRGB, bool) {
		return colour.LinearRGB{R: .2, G: .1, B: .05}, rectangle(x, y, 450, 300, 550, 400)
	})
	if len(ps) != 1 || len(ps[0].Faults) > 0 {
		t.Fatalf("%d pieces, faults %q", len(ps), ps[0].Faults)
	}
	centre := Point{500, 350}
	surface := s.Light.log(centre)
	c := &Calibration{light: s.Light}
	before, after := c.light.At(centre.X, centre.Y), c.Beside(ps[0].Beside).light.At(centre.X, centre.Y)
	// The paper reflects all channels alike up to a factor, which the sheet's own colour holds.
	white := [3]float64{math.Log(paper.R), math.Log(paper.G), math.Log(paper.B)}
	for k, got := range [3]float64{math.Log(after.R / before.R), math.Log(after.G / before.G), math.Log(after.B / before.B)} {
		off := math.Log(light(centre.X, centre.Y)[k]) + white[k] - surface[k]
		if off > -.01 {
			t.Fatalf("channel %d: the surface is off by %.3f alone: this tests nothing", k, off)
		}
		if got > .5*off || got < 1.2*off {
			t.Errorf("channel %d: told to be brighter by %.4f, it is by %.4f", k, got, off)
		}
	}
	if (&Calibration{}).Beside([3]float64{1, 1, 1}).light != nil {
		t.Error("even light is not even any more")
	}
}

func TestMisfitTakesTheSidesThatAreSeen(t *testing.T) {
	s := &Sheet{brighter: .01}
	var sides [4]bareSide
	for range leastQuadrant {
		sides[0].add([3]float32{.05, .02, .03})
	}
	sides[1].add([3]float32{9, 9, 9}) // too little to go by
	const level = .3*.05 + .6*.02 + .1*.03
	got := s.misfit(sides[:]...)
	green := level - .01 - (.3*.03 + .1*.01)
	for k, want := range [3]float64{green + .03, green, green + .01} {
		if math.Abs(got[k]-want) > 1e-6 {
			t.Errorf("channel %d: %.5f, want %.5f", k, got[k], want)
		}
	}
	if s.misfit() != [3]float64{} {
		t.Error("a misfit of nothing")
	}
}
