package main

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math/rand/v2"
	"time"

	"evenhide/calibrate/card"
	"evenhide/calibrate/scene"
	"evenhide/colour"
)

// demo is one photo and what the README says of it.
type demo struct {
	file, colour, story string
	taken               time.Time
	scene               scene.Scene
}

// cardSerial is that of the workshop's card.
const cardSerial = "HARE24"

func demos() ([]demo, error) {
	print, err := printCard()
	if err != nil {
		return nil, err
	}
	withCard := func(seed uint64, file, name, story string, pieces ...scene.Item) demo {
		d := newDemo(seed, file, name, story)
		d.onCard(print, name)
		d.scene.Items = append(d.scene.Items, pieces...)
		return d
	}
	return []demo{
		withCard(1, "wallet.jpg", "Harrow brown", "matches: even, within a hair of the swatch", wallet()),
		withCard(2, "strap.jpg", "Brent oxblood", "a coat short: lighter, along the dye's own line", strap(136)),
		withCard(3, "notebook.jpg", "Fenland tan", "right on the whole, but blotchy", notebook()),
		withCard(4, "sleeve.jpg", "Harrow brown", "as deep as the swatch, but redder: the wrong drop in the bottle", sleeve()),
		withCard(5, "bench.jpg", "Samphire green", "four of one batch, the third a coat short", fobs()...),
		withCard(7, "dabs.jpg", "Harrow brown", "dabs of four bottles: right, too strong, settled, and with oxblood in it", dabs()...),
		dyesDemo(print),
		onStrip(6, "strip.jpg", "Brent oxblood", "no card but a strip of six greys; a coat short", strap(118)),
	}, nil
}

// printCard returns the card as it is sent to the printer.
func printCard() (*image.Gray, error) {
	var buf bytes.Buffer
	if err := card.WritePNG(&buf, cardSerial); err != nil {
		return nil, err
	}
	img, err := png.Decode(&buf)
	if err != nil {
		return nil, err
	}
	grey, ok := img.(*image.Gray)
	if !ok {
		return nil, fmt.Errorf("the card is a %T, wanted greys", img)
	}
	return grey, nil
}

// spread returns numbers from -by to by.
type spread func(by float64) float64

func spreadOf(seed, stream uint64) spread {
	rng := rand.New(rand.NewPCG(seed, stream))
	return func(by float64) float64 { return by * (2*rng.Float64() - 1) }
}

// newDemo sets up a sheet, light and camera, which differ a little from photo to
// photo, by the seed. The lamp stands for a window: the sheet's brightest place
// gets about a fifth more light than its darkest.
func newDemo(seed uint64, file, name, story string) demo {
	s := spreadOf(seed, 99)
	sc := scene.Scene{Seed: seed, Width: 1800, Height: 1350,
		View: scene.View{Centre: scene.Point{X: 148.5, Y: 106 + s(2)}, Across: 322, Rotation: s(2), Tilt: 4 + s(2), Direction: -90 + s(30)},
		Light: scene.Lighting{Name: scene.D65, Lamp: scene.Point{X: -450 + s(100), Y: -600 + s(200)}, Height: 2100,
			Shadow: .42, Angle: 45 + s(15), ShadowLength: 1, ShadowBlur: 1.3},
		Camera: scene.Camera{Sensor: scene.IMX219, MatrixLight: scene.D65, WhiteBalance: [2]float64{s(.03), s(.03)},
			Exposure: -.42 + s(.08), Blur: .7, Vignette: .08, Flare: .006, Shot: 1e-4, Read: .0005, Tone: scene.SCurve},
		Sheet: scene.Sheet{W: 297, H: 210, Colour: colour.Lab{L: 93, A: .1, B: 1}, Texture: .004, Bench: colour.Lab{L: 47, A: 9, B: 19}, Plank: 48},
	}
	return demo{file: file, colour: name, story: story, scene: sc, taken: time.Date(2026, 3, 9+int(seed), 10, 5*int(seed), 0, 0, time.UTC)}
}

// onCard lays the printed card with swatch and hide in its windows. It is one
// card in every photo, so its greys miss by the same, 1.5 L*, everywhere.
func (d *demo) onCard(print *image.Gray, name string) {
	s := spreadOf(d.scene.Seed, 98)
	l := card.NewLayout()
	pose := scene.Pose{X: (d.scene.Sheet.W-float64(l.W))/2 + s(4), Y: 9 + s(2), Angle: s(1)}
	d.scene.Layers = []scene.Layer{{Image: print, MMPerPixel: 25.4 / card.PNGDotsPerInch, Pose: pose,
		Paper: colour.Lab{L: 95, A: .5, B: -2.5}, Error: 1.5, Seed: 24}}
	in := func(window card.Box) scene.Pose {
		return pose.Then(scene.Pose{X: float64(window.X + window.W/2), Y: float64(window.Y + window.H/2), Angle: s(2)})
	}
	d.scene.Items = []scene.Item{swatch(name, scene.Rect(24, 24, 1.5), in(l.Swatch)),
		offcut([]scene.Point{{X: -12, Y: -11.5}, {X: 3, Y: -12.3}, {X: 12.2, Y: -11}, {X: 11.6, Y: 12}, {X: -4, Y: 12.4}, {X: -12.4, Y: 11}}, in(l.Hide))}
}

// dyesDemo shows the dabs of two dyes, and in the window a swatch of a colour that is
// mixed from both: two parts of the brown, one of the green, two of water.
func dyesDemo(print *image.Gray) demo {
	d := newDemo(8, "dyes.jpg", "Harrow brown and Samphire green", "two dyes and equal parts of both, as they are and two parts with three of water, and a swatch of two to one with two of water")
	d.onCard(print, "Harrow brown")
	d.scene.Items[0].Material = scene.Leather(append(pure("Harrow brown"), scene.Part{Dye: pure("Samphire green")[0].Dye, Amount: .5}), .4)
	d.scene.Items = append(d.scene.Items, dyeDabs()...)
	return d
}

// onStrip is a demo with a bought strip of six greys, swatch and hide beside it.
func onStrip(seed uint64, file, name, story string, piece scene.Item) demo {
	d := newDemo(seed, file, name, story)
	d.scene.Width, d.scene.Height = 1440, 1080
	s := spreadOf(seed, 97)
	d.scene.Items = append(strip(s),
		swatch(name, scene.Rect(52, 34, 3), scene.Pose{X: 186, Y: 29, Angle: s(4)}),
		offcut([]scene.Point{{X: -25, Y: -15}, {X: -8, Y: -17}, {X: 20, Y: -16}, {X: 25, Y: -4}, {X: 22, Y: 15}, {X: -4, Y: 17}, {X: -26, Y: 13}},
			scene.Pose{X: 252, Y: 29, Angle: s(6)}), piece)
	return d
}

// strip is a board with six printed greys, each a little off.
func strip(s spread) []scene.Item {
	board := scene.Pose{X: 76, Y: 27, Angle: s(1.5)}
	out := []scene.Item{{Name: "strip", Kind: scene.Other, Outline: scene.Rect(132, 30, 1), Pose: board,
		Material: scene.Plain(colour.Lab{L: 95, B: .8}), Lift: .3}}
	for i, l := range []float64{90, 76, 62, 48, 35, 24} {
		out = append(out, scene.Item{Name: fmt.Sprintf("grey %.0f", l), Kind: scene.Step, Outline: scene.Rect(20, 24, 0), NominalL: l,
			Pose: board.Then(scene.Pose{X: -52.5 + 21*float64(i)}), Material: scene.Plain(colour.Lab{L: l + s(.3), A: s(.2), B: s(.2)})})
	}
	return out
}

func swatch(name string, outline []scene.Point, at scene.Pose) scene.Item {
	return scene.Item{Name: "swatch", Kind: scene.Swatch, Outline: outline, Pose: at, Lift: 1.6, Material: scene.Leather(pure(name), 1),
		Surface: scene.Surface{Grain: .045, Blotch: .25, BlotchSize: 12, Edge: .5}}
}

func offcut(outline []scene.Point, at scene.Pose) scene.Item {
	return scene.Item{Name: "hide", Kind: scene.Hide, Outline: outline, Pose: at, Lift: 1.6, Material: scene.BareHide(),
		Surface: scene.Surface{Grain: .035, HideVariation: .4}}
}
