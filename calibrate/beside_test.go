package calibrate

import (
	"math"
	"testing"

	"evenhide/colour"
)

// A dip of the light, as a soft shadow makes, that the surface cannot follow: what the
// surface is off by at the piece, the sheet beside it tells in part, and never too much.
func TestSheetBesideAPieceTellsItsLight(t *testing.T) {
	const deep, wide = .08, 130.0
	light := func(x, y float64) [3]float64 {
		d := .8 * (1 - deep*math.Exp(-((x-500)*(x-500)+(y-350)*(y-350))/(2*wide*wide)))
		return [3]float64{d, d, d}
	}
	s, ps := onPaper(t, light, func(x, y float64) (colour.LinearRGB, bool) {
		return colour.LinearRGB{R: .2, G: .1, B: .05}, rectangle(x, y, 450, 300, 550, 400)
	})
	if len(ps) != 1 || len(ps[0].Faults) > 0 {
		t.Fatalf("%d pieces, faults %q", len(ps), ps[0].Faults)
	}
	off := math.Log(light(500, 350)[1]) + math.Log(paper.G) - s.Light.log(Point{500, 350})[1]
	if off > -.01 {
		t.Fatalf("the surface is off by %.3f alone: this tests nothing", off)
	}
	c := &Calibration{light: s.Light}
	got := math.Log(c.Beside(ps[0].Beside).light.At(500, 350).G / c.light.At(500, 350).G)
	if got > .3*off || got < off {
		t.Errorf("told to be brighter by %.4f, it is by %.4f", got, off)
	}
	if (&Calibration{}).Beside(1).light != nil {
		t.Error("even light is not even any more")
	}
}

// The greys of a card in such a dip are read too dark, and everything by them too light:
// a piece in full light lies that much brighter beside them.
func TestSheetBesideTheCardCounts(t *testing.T) {
	light := func(x, y float64) [3]float64 {
		d := .8 * (1 - .035*math.Exp(-((x-300)*(x-300)+(y-200)*(y-200))/(2*120*120)))
		return [3]float64{d, d, d}
	}
	brown := colour.LinearRGB{R: .2, G: .1, B: .05}
	b := bench{w: 1000, h: 750, light: light, tone: plain, noise: .02, at: func(x, y float64) colour.LinearRGB {
		return mixed(paper, brown, rectangle(x, y, 700, 500, 820, 620))
	}}
	s, err := FindSheet(b.field(), asIs, []Polygon{{{250, 170}, {350, 170}, {350, 230}, {250, 230}}})
	if err != nil {
		t.Fatal(err)
	}
	ps := s.Pieces(PieceOptions{})
	if len(ps) != 1 {
		t.Fatalf("%d pieces", len(ps))
	}
	card := s.besideCard()
	if card > -.006 {
		t.Fatalf("the sheet beside the card is off by %.4f: this tests nothing", card)
	}
	if got := ps[0].Beside; math.Abs(got+card) > .004 {
		t.Errorf("the piece is told to be brighter by %.4f, the card's dip is %.4f", got, card)
	}
}

func TestMisfitIsWhatAllSidesAgreeOn(t *testing.T) {
	s := &Sheet{brighter: .01}
	side := func(level float32, nodes int) (b bareSide) {
		for range nodes {
			b.add([3]float32{level, level, level})
		}
		return b
	}
	for name, c := range map[string]struct {
		sides []bareSide
		want  float64
	}{
		"all darker":   {[]bareSide{side(-.05, 20), side(-.03, 20)}, -.04},
		"all brighter": {[]bareSide{side(.05, 20), side(.03, 20)}, .02},
		"at odds":      {[]bareSide{side(.05, 20), side(-.03, 20)}, 0},
		"one unseen":   {[]bareSide{side(.05, 20), side(-.03, leastQuadrant-1)}, .04},
		"none":         {nil, 0},
	} {
		if got := s.misfit(c.sides...); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %.5f, want %.5f", name, got, c.want)
		}
	}
}
