package main

import (
	"fmt"
	"math"

	"evenhide/calibrate/scene"
	"evenhide/colour"
)

// pure is a blend of one dye; every name here is one of scene.Dyes.
func pure(name string) scene.Blend {
	d, _ := scene.DyeNamed(name)
	return scene.Blend{{Dye: d, Amount: 1}}
}

func thread() colour.Lab { return colour.Lab{L: 82, A: 2, B: 14} }

// wallet is an open wallet's outer panel with its fold.
func wallet() scene.Item {
	return scene.Item{Name: "wallet", Kind: scene.Piece, Outline: scene.Rect(196, 94, 8), Pose: scene.Pose{X: 142, Y: 139, Angle: -3}, Lift: 2.2,
		Material: scene.Leather(pure("Harrow brown"), 1.05),
		Surface: scene.Surface{Grain: .05, Blotch: .4, BlotchSize: 12, Edge: 1, Crease: 2.2, Stitch: scene.Stitch{Inset: 4.6, Thread: thread()},
			Tooling: []scene.Line{{From: scene.Point{X: 4, Y: -40}, To: scene.Point{X: 4, Y: 40}}, {From: scene.Point{X: -4, Y: -40}, To: scene.Point{X: -4, Y: 40}}}}}
}

// strap is a belt end with its holes, so far down the sheet.
func strap(y float64) scene.Item {
	it := scene.Item{Name: "strap", Kind: scene.Piece, Outline: scene.Strip(250, 42), Pose: scene.Pose{X: 148, Y: y, Angle: 4}, Lift: 3,
		Material: scene.Leather(pure("Brent oxblood"), .66),
		Surface:  scene.Surface{Grain: .05, Blotch: .5, BlotchSize: 10, Edge: 1.2, Crease: 3.2, Stitch: scene.Stitch{Inset: 6, Pitch: 4.2, Thread: colour.Lab{L: 24, A: 3, B: 3}}}}
	for i := range 4 {
		it.Holes = append(it.Holes, scene.Circle{Point: scene.Point{X: 92 - 22*float64(i)}, Radius: 2.4})
	}
	return it
}

// notebook is a cover with a snap fastener.
func notebook() scene.Item {
	return scene.Item{Name: "notebook", Kind: scene.Piece, Outline: scene.Rect(188, 112, 10), Pose: scene.Pose{X: 150, Y: 139, Angle: 2}, Lift: 2.6,
		Material: scene.Leather(pure("Fenland tan"), 1),
		Surface: scene.Surface{Grain: .045, Blotch: 2.6, BlotchSize: 13, Edge: 1, Crease: 2.5,
			Fittings: []scene.Fitting{{Circle: scene.Circle{Point: scene.Point{X: 82}, Radius: 5.5}, Metal: colour.Lab{L: 72, A: 4, B: 26}}},
			Tooling:  []scene.Line{{From: scene.Point{X: -74, Y: -50}, To: scene.Point{X: -74, Y: 50}}}}}
}

// sleeve is a card sleeve with a thumb notch.
func sleeve() scene.Item {
	blend := pure("Harrow brown")
	blend[0].Amount = .7
	red := pure("Brent oxblood")[0]
	red.Amount = .21
	outline := scene.Rect(166, 92, 5) // ends at the left of the top edge
	for i := range 17 {
		sin, cos := math.Sincos(math.Pi * float64(i) / 16)
		outline = append(outline, scene.Point{X: -14 * cos, Y: -46 + 9*sin})
	}
	return scene.Item{Name: "sleeve", Kind: scene.Piece, Pose: scene.Pose{X: 150, Y: 138, Angle: -5}, Lift: 2, Outline: outline,
		Material: scene.Leather(append(blend, red), 1),
		Surface:  scene.Surface{Grain: .05, Blotch: .45, BlotchSize: 12, Edge: 1, Stitch: scene.Stitch{Inset: 3.8, Thread: thread()}}}
}

// fobs are four key fobs of one batch with a row of stitches round each.
func fobs() []scene.Item {
	var out []scene.Item
	for i, strength := range []float64{1.02, .97, .62, 1.05} {
		out = append(out, scene.Item{Name: fmt.Sprintf("fob %d", i+1), Kind: scene.Piece, Outline: scene.Fob(108, 54), Lift: 2.8,
			Holes:    []scene.Circle{{Point: scene.Point{X: -36}, Radius: 2.6}},
			Pose:     scene.Pose{X: 54 + 63*float64(i), Y: 140 + 3*float64(i%2), Angle: 90 + []float64{-4, 3, 6, -2}[i]},
			Material: scene.Leather(pure("Samphire green"), strength),
			Surface:  scene.Surface{Grain: .05, Blotch: .4, BlotchSize: 9, Edge: 1, Stitch: scene.Stitch{Inset: 4, Pitch: 3.6, Thread: thread()}}})
	}
	return out
}

// dabs are four dabs on pieces of the same hide: of a bottle as it should be, one
// too strong, one that has settled and one with a drop of oxblood in it.
func dabs() []scene.Item {
	reddish := pure("Harrow brown")
	red := pure("Brent oxblood")[0]
	red.Amount = .22
	reddish[0].Amount = .86
	reddish = append(reddish, red)
	var out []scene.Item
	for i, d := range []struct {
		blend    scene.Blend
		strength float64
	}{{pure("Harrow brown"), .99}, {pure("Harrow brown"), 1.25}, {pure("Harrow brown"), .78}, {reddish, 1}} {
		out = append(out, scene.Item{Name: fmt.Sprintf("dab %d", i+1), Kind: scene.Piece, Outline: scene.Rect(31, 29, 1.5), Lift: 1.6,
			Pose:     scene.Pose{X: 84 + 43*float64(i), Y: 102 + 2*float64(i%2), Angle: []float64{-3, 2, -1, 4}[i]},
			Material: scene.Leather(d.blend, d.strength),
			Surface:  scene.Surface{Grain: .045, Blotch: .3, BlotchSize: 11}})
	}
	return out
}

// dyeDabs are a row of two dyes as they are in the bottle and equal parts of both, and
// under it the same let down, two parts with three of water.
func dyeDabs() []scene.Item {
	var out []scene.Item
	brown, green := pure("Harrow brown")[0], pure("Samphire green")[0]
	brown.Amount, green.Amount = .5, .5
	of := []scene.Blend{pure("Harrow brown"), pure("Samphire green"), {brown, green}}
	for i := range 6 {
		row, column := i/3, i%3
		out = append(out, scene.Item{Name: fmt.Sprintf("dab %d", i+1), Kind: scene.Piece, Outline: scene.Rect(30, 30, 1.5), Lift: 1.6,
			Pose:     scene.Pose{X: 105 + 43*float64(column), Y: 99 + 38*float64(row) - 2*float64(column%2), Angle: []float64{2, -3, 1, -2, 3, -1}[i]},
			Material: scene.Leather(of[column], []float64{1, .4}[row]),
			Surface:  scene.Surface{Grain: .045, Blotch: .3, BlotchSize: 11}})
	}
	return out
}
