package scene

import (
	"fmt"
	"math"

	"evenhide/colour"
)

// focalLength is the lens in units of the picture's width: a phone's main
// camera, 26 mm on a 36 mm frame.
const focalLength = 26.0 / 36

// Homography maps one plane to another in homogeneous coordinates.
type Homography colour.Matrix

// At returns where p goes.
func (h Homography) At(p Point) Point {
	v := colour.Matrix(h).Apply([3]float64{p.X, p.Y, 1})
	return Point{v[0] / v[2], v[1] / v[2]}
}

// homography returns the map from mm on the sheet to pixels, where pixel i spans
// i..i+1. The camera is a pinhole that looks at View.Centre.
func (sc *Scene) homography() (Homography, error) {
	v := sc.View
	across := or(v.Across, sc.Sheet.W)
	if !(across > 0) || !(v.Tilt >= 0 && v.Tilt <= 60) {
		return Homography{}, fmt.Errorf("scene: view %g mm across tilted by %g°; a width above 0 and 0..60° wanted", across, v.Tilt)
	}
	f := focalLength * float64(sc.Width)
	distance := focalLength * across
	sin, cos := math.Sincos(radians(v.Rotation))
	turn := colour.Matrix{{cos, -sin, 0}, {sin, cos, 0}, {0, 0, 1}}
	centre := colour.Matrix{{1, 0, -v.Centre.X}, {0, 1, -v.Centre.Y}, {0, 0, 1}}
	// Tilt moves a point that lies t towards Direction to t·cos(tilt) along it
	// and t·sin(tilt) farther from the camera.
	dy, dx := math.Sincos(radians(v.Direction))
	s, c := math.Sincos(radians(v.Tilt))
	tilt := colour.Matrix{
		{1 - (1-c)*dx*dx, -(1 - c) * dx * dy, 0},
		{-(1 - c) * dx * dy, 1 - (1-c)*dy*dy, 0},
		{s * dx, s * dy, distance},
	}
	lens := colour.Matrix{{f, 0, float64(sc.Width) / 2}, {0, f, float64(sc.Height) / 2}, {0, 0, 1}}
	return Homography(lens.Mul(tilt).Mul(turn).Mul(centre)), nil
}
