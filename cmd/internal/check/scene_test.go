package check_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"evenhide/calibrate/card"
	"evenhide/calibrate/scene"
	"evenhide/calibrate/scene/cardprint"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
)

// laidOut returns a calm scene of the card and pieces 60 mm square with the given
// surfaces, four a row, 0.16 mm a pixel.
func laidOut(t *testing.T, seed uint64, surfaces ...scene.Surface) scene.Scene {
	t.Helper()
	print, err := cardprint.New(printSerial)
	if err != nil {
		t.Fatal(err)
	}
	l := card.NewLayout()
	sc := scene.RandomOn(print, seed, scene.Calm)
	dye := scene.Leather(scene.Blend{{Dye: scene.Dyes()[int(seed)%len(scene.Dyes())], Amount: 1}}, .8)
	sc.Items, sc.Sheet.W, sc.Sheet.H = sc.Items[:2], 297, 210
	sc.Width, sc.Height = 1800, 1272
	sc.Layers[0].Pose = scene.Pose{X: 53, Y: 8}
	for i, b := range []card.Box{l.Swatch, l.Hide} {
		sc.Items[i].Pose = sc.Layers[0].Pose.Then(scene.Pose{X: float64(b.X + b.W/2), Y: float64(b.Y + b.H/2)})
	}
	sc.Items[0].Material = dye
	for i, s := range surfaces {
		sc.Items = append(sc.Items, scene.Item{Name: "piece", Kind: scene.Piece, Outline: scene.Rect(60, 60, 1), Lift: 1.5,
			Material: dye, Surface: s, Pose: scene.Pose{X: 42 + 71*float64(i%4), Y: 106 + 69*float64(i/4)}})
	}
	sc.View = scene.View{Centre: scene.Point{X: 148.5, Y: 105}, Across: 297}
	return sc
}

// taken returns the check of a scene, and its truth.
func taken(t *testing.T, sc scene.Scene, rq check.Request) (report.Photo, scene.Truth) {
	t.Helper()
	spectra, err := scene.Load(os.DirFS("../../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	img, truth, err := scene.Render(sc, spectra)
	if err != nil {
		t.Fatal(err)
	}
	var buf bytes.Buffer
	if err := scene.WriteJPEG(&buf, img, scene.File{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "photo.jpg")
	if err := os.WriteFile(path, buf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return check.Photo(path, rq), truth
}
