package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"evenhide/calibrate/scene"
	"evenhide/colour"
)

// demo is one photo and what the README says of it.
type demo struct {
	file, colour, story string
	taken               time.Time
	scene               scene.Scene
}

func demos() []demo {
	return []demo{
		newDemo(1, "wallet.jpg", "Harrow brown", "matches: even, within a hair of the swatch", wallet()),
		newDemo(2, "strap.jpg", "Brent oxblood", "a coat short: lighter, along the dye's own line", strap()),
		newDemo(3, "notebook.jpg", "Fenland tan", "right on the whole, but blotchy", notebook()),
		newDemo(4, "sleeve.jpg", "Harrow brown", "as deep as the swatch, but redder: the wrong drop in the bottle", sleeve()),
	}
}

// newDemo sets a piece beside the strip, swatch and hide. Sheet, light and camera
// differ a little from photo to photo, by the seed.
func newDemo(seed uint64, file, name, story string, piece scene.Item) demo {
	rng := rand.New(rand.NewPCG(seed, 99))
	spread := func(by float64) float64 { return by * (2*rng.Float64() - 1) }
	sc := scene.Scene{Seed: seed, Width: 1440, Height: 1080,
		View: scene.View{Centre: scene.Point{X: 148, Y: 104 + spread(2)}, Across: 300, Rotation: spread(2), Tilt: 5 + spread(3), Direction: -90 + spread(30)},
		Light: scene.Lighting{Name: scene.D65, Lamp: scene.Point{X: -450 + spread(100), Y: -600 + spread(200)}, Height: 900,
			Shadow: .42, Angle: 45 + spread(15), ShadowLength: 1, ShadowBlur: 1.3},
		Camera: scene.Camera{Sensor: scene.IMX219, MatrixLight: scene.D65, WhiteBalance: [2]float64{spread(.03), spread(.03)},
			Exposure: -.42 + spread(.08), Blur: .7, Vignette: .12, Flare: .006, Shot: 6e-5, Read: .0012, Tone: scene.SCurve},
		Sheet: scene.Sheet{W: 297, H: 210, Colour: colour.Lab{L: 94.5, A: .4, B: -1.2}, Texture: .004, Bench: colour.Lab{L: 47, A: 9, B: 19}, Plank: 48},
	}
	sc.Items = append(strip(spread), swatch(name, spread), offcut(spread), piece)
	return demo{file: file, colour: name, story: story, scene: sc, taken: time.Date(2026, 3, 9+int(seed), 10, 5*int(seed), 0, 0, time.UTC)}
}

// strip is a card with six printed greys, each a little off.
func strip(spread func(float64) float64) []scene.Item {
	card := scene.Pose{X: 76, Y: 27, Angle: spread(1.5)}
	out := []scene.Item{{Name: "strip", Kind: scene.Other, Outline: scene.Rect(132, 30, 1), Pose: card,
		Material: scene.Plain(colour.Lab{L: 95, B: .8}), Lift: .3}}
	for i, l := range []float64{90, 76, 62, 48, 35, 24} {
		out = append(out, scene.Item{Name: fmt.Sprintf("grey %.0f", l), Kind: scene.Step, Outline: scene.Rect(20, 24, 0), NominalL: l,
			Pose: card.Then(scene.Pose{X: -52.5 + 21*float64(i)}), Material: scene.Plain(colour.Lab{L: l + spread(.3), A: spread(.2), B: spread(.2)})})
	}
	return out
}

func swatch(name string, spread func(float64) float64) scene.Item {
	return scene.Item{Name: "swatch", Kind: scene.Swatch, Outline: scene.Rect(52, 34, 3), Holes: []scene.Circle{{Point: scene.Point{X: -20, Y: -11}, Radius: 2.2}},
		Pose: scene.Pose{X: 186, Y: 29, Angle: spread(4)}, Lift: 1.6, Material: scene.Leather(pure(name), 1),
		Surface: scene.Surface{Grain: .045, Blotch: .25, BlotchSize: 12, Edge: .5}}
}

func offcut(spread func(float64) float64) scene.Item {
	return scene.Item{Name: "hide", Kind: scene.Hide, Pose: scene.Pose{X: 252, Y: 29, Angle: spread(6)}, Lift: 1.6, Material: scene.BareHide(),
		Outline: []scene.Point{{X: -25, Y: -15}, {X: -8, Y: -17}, {X: 20, Y: -16}, {X: 25, Y: -4}, {X: 22, Y: 15}, {X: -4, Y: 17}, {X: -26, Y: 13}},
		Surface: scene.Surface{Grain: .035, HideVariation: .4}}
}

// pure is a blend of one dye; every name here is one of scene.Dyes.
func pure(name string) scene.Blend {
	d, _ := scene.DyeNamed(name)
	return scene.Blend{{Dye: d, Amount: 1}}
}

func thread() colour.Lab { return colour.Lab{L: 82, A: 2, B: 14} }

// wallet is an open wallet's outer panel with its fold.
func wallet() scene.Item {
	return scene.Item{Name: "wallet", Kind: scene.Piece, Outline: scene.Rect(196, 94, 8), Pose: scene.Pose{X: 138, Y: 122, Angle: -3}, Lift: 2.2,
		Material: scene.Leather(pure("Harrow brown"), 1.04),
		Surface: scene.Surface{Grain: .05, Blotch: .4, BlotchSize: 12, Edge: 1, Crease: 2.2, Stitch: scene.Stitch{Inset: 4.6, Thread: thread()},
			Tooling: []scene.Line{{From: scene.Point{X: 4, Y: -40}, To: scene.Point{X: 4, Y: 40}}, {From: scene.Point{X: -4, Y: -40}, To: scene.Point{X: -4, Y: 40}}}}}
}

// strap is a belt end with its holes.
func strap() scene.Item {
	it := scene.Item{Name: "strap", Kind: scene.Piece, Outline: scene.Strip(250, 42), Pose: scene.Pose{X: 148, Y: 118, Angle: 4}, Lift: 3,
		Material: scene.Leather(pure("Brent oxblood"), .68),
		Surface:  scene.Surface{Grain: .05, Blotch: .5, BlotchSize: 10, Edge: 1.2, Crease: 3.2, Stitch: scene.Stitch{Inset: 6, Pitch: 4.2, Thread: colour.Lab{L: 24, A: 3, B: 3}}}}
	for i := range 4 {
		it.Holes = append(it.Holes, scene.Circle{Point: scene.Point{X: 92 - 22*float64(i)}, Radius: 2.4})
	}
	return it
}

// notebook is a cover with a snap fastener.
func notebook() scene.Item {
	return scene.Item{Name: "notebook", Kind: scene.Piece, Outline: scene.Rect(188, 112, 10), Pose: scene.Pose{X: 144, Y: 128, Angle: 2}, Lift: 2.6,
		Material: scene.Leather(pure("Fenland tan"), 1),
		Surface: scene.Surface{Grain: .045, Blotch: 2.6, BlotchSize: 13, Edge: 1, Crease: 2.5,
			Fittings: []scene.Fitting{{Circle: scene.Circle{Point: scene.Point{X: 82}, Radius: 5.5}, Metal: colour.Lab{L: 72, A: 4, B: 26}}},
			Tooling:  []scene.Line{{From: scene.Point{X: -74, Y: -50}, To: scene.Point{X: -74, Y: 50}}}}}
}

// sleeve is a card sleeve with a thumb notch.
func sleeve() scene.Item {
	blend := pure("Harrow brown")
	blend[0].Amount = .66
	red := pure("Brent oxblood")[0]
	red.Amount = .24
	outline := scene.Rect(166, 92, 5) // ends at the left of the top edge
	for i := range 17 {
		sin, cos := math.Sincos(math.Pi * float64(i) / 16)
		outline = append(outline, scene.Point{X: -14 * cos, Y: -46 + 9*sin})
	}
	return scene.Item{Name: "sleeve", Kind: scene.Piece, Pose: scene.Pose{X: 150, Y: 124, Angle: -5}, Lift: 2, Outline: outline,
		Material: scene.Leather(append(blend, red), 1),
		Surface:  scene.Surface{Grain: .05, Blotch: .45, BlotchSize: 12, Edge: 1, Stitch: scene.Stitch{Inset: 3.8, Thread: thread()}}}
}
