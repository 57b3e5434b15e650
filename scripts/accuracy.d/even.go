package main

import (
	"math"

	"evenhide/calibrate/scene"
)

// evenly returns sc with its pieces dyed evenly, as far as a coat ever is, and lit
// from one side, so that the dimmest corner of the sheet has 30 % less light than
// the brightest.
func evenly(sc scene.Scene) scene.Scene {
	for i := range sc.Items {
		s := &sc.Items[i].Surface
		s.Blotch, s.Streak, s.Slope, s.HideVariation = .1, 0, 0, 0
	}
	sc.Light.Edge = scene.ShadowEdge{}
	sc.Light.Height = 700
	corners := [4]scene.Point{{}, {X: sc.Sheet.W}, {Y: sc.Sheet.H}, {X: sc.Sheet.W, Y: sc.Sheet.H}}
	// fall is the light that the dimmest corner lacks with the lamp at x, left of
	// the middle of the sheet: the cosine law over the squared distance.
	fall := func(x float64) float64 {
		least, most := math.Inf(1), 0.0
		for _, c := range corners {
			r := math.Hypot(math.Hypot(c.X-x, c.Y-sc.Sheet.H/2), sc.Light.Height)
			least, most = min(least, math.Pow(r, -3)), max(most, math.Pow(r, -3))
		}
		return 1 - least/most
	}
	x := sc.Sheet.W / 2
	for fall(x) < .3 {
		x--
	}
	sc.Light.Lamp = scene.Point{X: x, Y: sc.Sheet.H / 2}
	return sc
}
