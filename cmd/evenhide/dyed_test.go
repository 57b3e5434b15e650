package main

import (
	"os"
	"strconv"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"evenhide/calibrate/scene"
	"evenhide/calibrate/scene/cardprint"
)

// dyed makes a calm photo of pieces for a script: dyed [--taken TIME] [--bare]
// [--drop DYE] FILE DYE DEPTH STRENGTH... . The swatch is dyed with DYE to DEPTH, and
// each piece to STRENGTH of that, with half a part of another dye in it for --drop;
// with --bare no bare hide lies in the card's window.
func dyed(ts *testscript.TestScript, neg bool, args []string) {
	fs := newFlags("dyed")
	taken, bare, drop := fs.String("taken", "", ""), fs.Bool("bare", false, ""), fs.String("drop", "", "")
	ts.Check(fs.Parse(args))
	args = fs.Args()
	if neg || len(args) < 4 {
		ts.Fatalf("usage: dyed [--taken TIME] [--bare] [--drop DYE] FILE DYE DEPTH STRENGTH...")
	}
	number := func(text string) float64 {
		v, err := strconv.ParseFloat(text, 64)
		ts.Check(err)
		return v
	}
	named := func(name string) scene.Dye {
		d, ok := scene.DyeNamed(name)
		if !ok {
			ts.Fatalf("no dye %q", name)
		}
		return d
	}
	print, err := cardprint.New("RWX3PN")
	ts.Check(err)
	sc := scene.RandomOn(print, uint64(len(args[0])), scene.Calm)
	sc.Width, sc.Height = 1600, 1200
	blend, depth := scene.Blend{{Dye: named(args[1]), Amount: 1}}, number(args[2])
	sc.Items = sc.Items[:2] // swatch and hide
	sc.Items[0].Material = scene.Leather(blend, depth)
	if *bare {
		sc.Items = sc.Items[:1]
	}
	if *drop != "" {
		blend = append(blend, scene.Part{Dye: named(*drop), Amount: .5})
	}
	for i, text := range args[3:] {
		sc.Items = append(sc.Items, scene.Item{Name: text, Kind: scene.Piece, Outline: scene.Rect(34, 34, 2), Lift: 2,
			Pose:     scene.Pose{X: 50 + 44*float64(i), Y: 120},
			Material: scene.Leather(blend, depth*number(text)), Surface: scene.Surface{Grain: .02, Blotch: .3}})
	}
	spectra, err := scene.Load(os.DirFS(ts.Getenv("SPECTRA")))
	ts.Check(err)
	photo, _, err := scene.Render(sc.Framed(), spectra)
	ts.Check(err)
	file := scene.File{Quality: 90}
	if *taken != "" {
		file.Taken, err = time.ParseInLocation("2006-01-02 15:04", *taken, time.Local)
		ts.Check(err)
	}
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	ts.Check(scene.WriteJPEG(f, photo, file))
}
