package card_test

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"evenhide/calibrate/card"
	"evenhide/calibrate/photo"
	"evenhide/calibrate/scene"
	"evenhide/colour"
)

const serial = "4F7K2Q"

// deskScene is a card with leather in its windows and a piece beside it, seen by
// a measured camera in a measured light.
func deskScene(seed uint64, print *image.Gray) (scene.Scene, scene.Pose) {
	r := rand.New(rand.NewPCG(seed, 11))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	l := card.NewLayout()
	pose := scene.Pose{X: between(35, 60), Y: between(30, 40), Angle: between(-6, 6)}
	window := func(name string, b card.Box, kind scene.Kind, m scene.Material) scene.Item {
		w := float64(b.W)
		return scene.Item{Name: name, Kind: kind, Outline: scene.Rect(w-2, w-2, 1), Material: m, Lift: 1.2,
			Pose: pose.Then(scene.Pose{X: float64(b.X) + w/2, Y: float64(b.Y) + w/2})}
	}
	brown := scene.Leather(scene.Blend{{Dye: scene.Dyes()[0], Amount: 1}}, 1)
	sc := scene.Scene{Seed: seed, Width: 1800, Height: 1350,
		View:   scene.View{Centre: scene.Point{X: 148, Y: 105}, Across: between(300, 420), Rotation: between(0, 360), Tilt: between(0, 30), Direction: between(0, 360)},
		Light:  scene.Lighting{Name: scene.Lights()[int(seed)%len(scene.Lights())], Lamp: scene.Point{X: -300, Y: -200}, Height: 600, Shadow: 0.4, ShadowLength: 1, ShadowBlur: 2},
		Camera: scene.Camera{Sensor: scene.Cameras()[int(seed)%len(scene.Cameras())], Exposure: -0.3, Blur: between(0.5, 1.5), Vignette: 0.2, Flare: 0.01, Shot: 2e-4, Read: 0.003, Tone: scene.SCurve},
		Sheet:  scene.Sheet{W: 297, H: 210, Colour: colour.Lab{L: 94, B: -1}, Texture: 0.005, Plank: 60},
		Layers: []scene.Layer{{Image: print, MMPerPixel: 25.4 / card.PNGDotsPerInch, Pose: pose, Paper: colour.Lab{L: 95, A: 0.3, B: -1}, Error: 3}},
		Items: []scene.Item{window("swatch", l.Swatch, scene.Swatch, brown), window("hide", l.Hide, scene.Hide, scene.BareHide()),
			{Name: "piece", Kind: scene.Piece, Outline: scene.Rect(150, 70, 5), Material: brown, Lift: 2, Pose: scene.Pose{X: 150, Y: 165, Angle: 3}}}}
	if seed%3 == 1 {
		sc.Light.Edge = scene.ShadowEdge{Depth: 0.4, Angle: 30, Offset: 140, Width: 15}
	}
	return sc, pose
}

// cornersWithin is half a pixel: the finest that a photo of JPEG quality 85 with
// this blur and noise was asked to give.
const cornersWithin = 0.5

func TestFindInScenes(t *testing.T) {
	spectra, err := scene.Load(os.DirFS("../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	var buf bytes.Buffer
	if err := card.WritePNG(&buf, serial); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&buf)
	if err != nil {
		t.Fatal(err)
	}
	scenes := uint64(7)
	if testing.Short() {
		scenes = 2
	}
	for seed := range scenes {
		sc, pose := deskScene(seed, img.(*image.Gray))
		shot, truth, err := scene.Render(sc, spectra)
		if err != nil {
			t.Fatal(err)
		}
		var file bytes.Buffer
		if err := scene.WriteJPEG(&file, shot, scene.File{Quality: 85, Orientation: 1 + int(seed)}); err != nil {
			t.Fatal(err)
		}
		read, err := photo.Decode(bytes.NewReader(file.Bytes()), "scene.jpg", photo.Limits{MaxCells: 8e5 * (1 + int(seed)%4)})
		if err != nil {
			t.Fatal(err)
		}
		got, err := card.Find(read.Field)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		sum, l := 0.0, card.NewLayout()
		corners := card.Box{W: l.W, H: l.H}.Corners()
		for i, p := range got.Outline() {
			want := truth.ToPixels.At(pose.At(scene.Point{X: float64(corners[i].X), Y: float64(corners[i].Y)}))
			sum += math.Hypot(p.X-want.X, p.Y-want.Y) / 4
		}
		t.Logf("seed %d: %s, cell %d, %.1f px/mm, corners %.3f px off, residual %.2f px", seed, sc.Light.Name, read.Field.Cell,
			got.PxPerMM(card.Point{X: 95, Y: 31}), sum, got.ResidualPx)
		if sum > cornersWithin || got.Serial != serial || got.Codes != 2 {
			t.Errorf("seed %d: %s from %d codes, corners %.2f pixels off", seed, got.Serial, got.Codes, sum)
		}
	}
}

// One demo photo shows a strip of greys and no card; the others show the card.
func TestFindInDemoPhotos(t *testing.T) {
	names, err := filepath.Glob("../../testdata/demo/*.jpg")
	if err != nil || len(names) < 2 {
		t.Fatalf("demo photos: %v, %v", names, err)
	}
	for _, name := range names {
		p, err := photo.Open(name, photo.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := card.Find(p.Field)
		switch {
		case filepath.Base(name) == "strip.jpg":
			if !errors.Is(err, card.ErrNoCard) {
				t.Errorf("%s: %+v, %v; wanted no card", name, got, err)
			}
		case err != nil || got.Codes != 2:
			t.Errorf("%s: %d codes, %v; wanted both", name, got.Codes, err)
		}
	}
}
