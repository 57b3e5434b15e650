package main

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"evenhide/calibrate/card"
	"evenhide/calibrate/scene"
	"evenhide/colour"
)

// dabs makes a photo of dabs of Harrow brown for a script: dabs [--taken TIME] [--cut]
// FILE SWATCH HIDE DAB... . SWATCH and HIDE are the strengths of what lies in the card's
// windows, "-" for nothing; DAB is the strength of a dab, 0 for bare hide, with a + for
// some oxblood in it. With --cut the photo's edge cuts through the last.
func dabs(ts *testscript.TestScript, neg bool, args []string) {
	fs := newFlags("dabs")
	taken, cut := fs.String("taken", "", ""), fs.Bool("cut", false, "")
	ts.Check(fs.Parse(args))
	args = fs.Args()
	if neg || len(args) < 3 {
		ts.Fatalf("usage: dabs [--taken TIME] [--cut] FILE SWATCH HIDE DAB...")
	}
	var buf bytes.Buffer
	ts.Check(card.WritePNG(&buf, "RWX3PN"))
	img, err := png.Decode(&buf)
	ts.Check(err)
	l := card.NewLayout()
	sc := scene.Scene{Seed: 3, Width: 1440, Height: 1080, View: scene.View{Centre: scene.Point{X: 105, Y: 75}, Across: 220},
		Camera: scene.Camera{Sensor: scene.IMX219, Exposure: -.3, Blur: .6, Shot: 2e-5, Read: .0005}, Sheet: scene.Sheet{W: 297, H: 210, Texture: .004}}
	sc.Layers = []scene.Layer{{Image: img.(*image.Gray), MMPerPixel: 25.4 / card.PNGDotsPerInch, Pose: scene.Pose{X: 10, Y: 8}, Paper: colour.Lab{L: 95}}}
	sc.Sheet.Colour = colour.Lab{L: 95}
	add := func(text string, x, y, side float64) {
		if text == "-" {
			return
		}
		number, red := strings.CutSuffix(text, "+")
		strength, err := strconv.ParseFloat(number, 64)
		ts.Check(err)
		brown, _ := scene.DyeNamed("Harrow brown")
		oxblood, _ := scene.DyeNamed("Brent oxblood")
		blend := scene.Blend{{Dye: brown, Amount: 1}}
		if red {
			blend = append(blend, scene.Part{Dye: oxblood, Amount: .3})
		}
		sc.Items = append(sc.Items, scene.Item{Name: text, Kind: scene.Piece, Outline: scene.Rect(side, side, 1), Pose: scene.Pose{X: x, Y: y},
			Lift: 1, Material: scene.Leather(blend, strength), Surface: scene.Surface{Grain: .03}})
	}
	middle := func(b card.Box) (x, y float64) { return 10 + float64(b.X+b.W/2), 8 + float64(b.Y+b.H/2) }
	x, y := middle(l.Swatch)
	add(args[1], x, y, 24)
	x, y = middle(l.Hide)
	add(args[2], x, y, 24)
	for i, text := range args[3:] {
		x, y := 30+40*float64(i%4), 95+40*float64(i/4)
		if *cut && i == len(args[3:])-1 {
			x = sc.View.Centre.X + sc.View.Across/2
		}
		add(text, x, y, 28)
	}
	spectra, err := scene.Load(os.DirFS(ts.Getenv("SPECTRA")))
	ts.Check(err)
	photo, _, err := scene.Render(sc, spectra)
	ts.Check(err)
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	file := scene.File{Quality: 92}
	if *taken != "" {
		file.Taken, err = time.ParseInLocation("2006-01-02 15:04", *taken, time.Local)
		ts.Check(err)
	}
	ts.Check(scene.WriteJPEG(f, photo, file))
}
