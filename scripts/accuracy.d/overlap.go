package main

import (
	"image"
	"math"

	"evenhide/calibrate/scene"
	"evenhide/colour/surface"
)

// overlap returns the intersection of two outlines over their union, 0..1.
func overlap(a []scene.Point, b [][2]float64) float64 {
	var one, two []surface.Corner
	frame := image.Rectangle{}
	add := func(list *[]surface.Corner, x, y float64) {
		*list = append(*list, surface.Corner{X: x, Y: y})
		frame = frame.Union(image.Rect(int(x)-1, int(y)-1, int(math.Ceil(x))+1, int(math.Ceil(y))+1))
	}
	for _, p := range a {
		add(&one, p.X, p.Y)
	}
	for _, p := range b {
		add(&two, p[0], p[1])
	}
	first, second := surface.Polygon(one, frame), surface.Polygon(two, frame)
	both, either := 0, 0
	for _, in := range first.In {
		if in {
			either++
		}
	}
	for y := second.Rect.Min.Y; y < second.Rect.Max.Y; y++ {
		for x := second.Rect.Min.X; x < second.Rect.Max.X; x++ {
			if !second.In[(y-second.Rect.Min.Y)*second.Rect.Dx()+x-second.Rect.Min.X] {
				continue
			}
			if p := image.Pt(x, y); p.In(first.Rect) && first.In[(y-first.Rect.Min.Y)*first.Rect.Dx()+x-first.Rect.Min.X] {
				both++
			} else {
				either++
			}
		}
	}
	if either == 0 {
		return 0
	}
	return float64(both) / float64(either)
}
