package main

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"evenhide/calibrate/scene"
	"evenhide/calibrate/scene/cardprint"
	"evenhide/colour"
)

// render makes a photo of the card RWX3PN for a script: render [--empty] [--alone]
// [--camera NAME] FILE SEED [L]... . With --empty no swatch lies in the card's window,
// with --alone nothing on the sheet but the first piece. With lightnesses L, bought
// greys of those lie on the sheet instead of pieces; GREYL is set to where each
// lies, as --grey wants it.
func render(ts *testscript.TestScript, neg bool, args []string) {
	fs := newFlags("render")
	empty, alone, camera := fs.Bool("empty", false, ""), fs.Bool("alone", false, ""), fs.String("camera", "", "")
	ts.Check(fs.Parse(args))
	args = fs.Args()
	if neg || len(args) < 2 {
		ts.Fatalf("usage: render [--empty] [--alone] [--camera NAME] FILE SEED [L]...")
	}
	seed, err := strconv.ParseUint(args[1], 10, 64)
	ts.Check(err)
	print, err := cardprint.New("RWX3PN")
	ts.Check(err)
	sc := scene.RandomOn(print, seed, scene.Calm)
	sc.Width, sc.Height = 1600, 1200
	if len(args) > 2 {
		sc.Layers[0].Error = 2
		sc.Items = sc.Items[:2] // swatch and hide
	}
	for i, text := range args[2:] {
		l, err := strconv.ParseFloat(text, 64)
		ts.Check(err)
		sc.Items = append(sc.Items, scene.Item{Name: text, Kind: scene.Step, Outline: scene.Rect(30, 30, 0), NominalL: l,
			Pose: scene.Pose{X: 40 + 34*float64(i), Y: 110}, Material: scene.Plain(colour.Lab{L: l})})
	}
	if *alone {
		sc.Items = sc.Items[:3]
	}
	if *empty {
		sc.Items = slices.DeleteFunc(sc.Items, func(it scene.Item) bool { return it.Kind == scene.Swatch })
	}
	spectra, err := scene.Load(os.DirFS(ts.Getenv("SPECTRA")))
	ts.Check(err)
	photo, truth, err := scene.Render(sc, spectra)
	ts.Check(err)
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	file := scene.File{Quality: 90, Camera: *camera}
	if *camera != "" {
		file.Taken = time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC)
	}
	ts.Check(scene.WriteJPEG(f, photo, file))
	for _, text := range args[2:] {
		b := truth.Find(text).Box
		ts.Setenv("GREY"+text, fmt.Sprintf("%d,%d,%d,%d=%s", b.Min.X, b.Min.Y, b.Dx(), b.Dy(), text))
	}
}
