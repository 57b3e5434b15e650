package check_test

import (
	"bytes"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"evenhide/calibrate/card"
	"evenhide/calibrate/scene"
	"evenhide/cmd/internal/check"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

const (
	printSerial = "RWX3PN"
	printDPI    = 300
	mmPerInch   = 25.4
)

// TestFromPrintToVerdict goes the whole way round: the PDF as a printer's software
// rasterises it, cut out, laid on a sheet with swatch, hide and a piece a coat
// short, photographed and checked.
func TestFromPrintToVerdict(t *testing.T) {
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("pdftoppm is missing")
		}
		t.Skip("pdftoppm is not installed")
	}
	dir := t.TempDir()
	printed := cutOut(t, rasterised(t, dir))
	path := filepath.Join(dir, "bench.jpg")
	truth := photograph(t, path, printed)
	got := check.Photo(path, usual())
	if got.Error != "" || got.Card == nil || got.Card.Serial != printSerial || got.Card.Codes != 2 || len(got.Pieces) != 1 {
		t.Fatalf("%q %s, card %+v, %d pieces; wanted card %s with both codes and one piece", got.Error, got.Hint, got.Card, len(got.Pieces), printSerial)
	}
	p := got.Pieces[0]
	if d := truth.Find("strap").BoxDeltaE; p.Verdict != tolerance.AnotherCoat || p.Measures == nil || d < p.Interval[0] || d > p.Interval[1] {
		t.Errorf("%s, wanted %s with %.2f within", said(&p), tolerance.AnotherCoat, d)
	} else {
		t.Logf("%s; the truth is %.2f", said(&p), d)
	}
}

// rasterised returns the first page of the card's PDF.
func rasterised(t *testing.T, dir string) *image.Gray {
	t.Helper()
	var pdf bytes.Buffer
	if err := card.WritePDF(&pdf, printSerial, card.A4); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "card.pdf")
	if err := os.WriteFile(name, pdf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	page := filepath.Join(dir, "page")
	if out, err := exec.Command("pdftoppm", "-r", "300", "-gray", "-png", "-f", "1", "-l", "1", "-singlefile", name, page).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	data, err := os.ReadFile(page + ".png")
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	grey := image.NewGray(img.Bounds())
	draw.Draw(grey, grey.Rect, img, img.Bounds().Min, draw.Src)
	return grey
}

// cutOut returns the card on its page, to the dot.
func cutOut(t *testing.T, page *image.Gray) *image.Gray {
	t.Helper()
	field := colour.NewField(page.Rect.Dx(), page.Rect.Dy(), 1)
	for i, v := range page.Pix {
		lin := float32(colour.SRGB().Decode(float64(v) / 255))
		field.RGB[3*i], field.RGB[3*i+1], field.RGB[3*i+2] = lin, lin, lin
	}
	found, err := card.Find(field)
	if err != nil {
		t.Fatal(err)
	}
	o := found.Outline()
	round := func(v float64) int { return int(math.Round(v)) }
	cut := image.Rect(round(o[0].X), round(o[0].Y), round(o[2].X), round(o[2].Y))
	l := card.NewLayout()
	const dots = 1.5 // each corner is rounded to one
	for _, side := range [][2]float64{{float64(cut.Dx()), float64(l.W)}, {float64(cut.Dy()), float64(l.H)}} {
		if want := side[1] * printDPI / mmPerInch; math.Abs(side[0]-want) > dots {
			t.Errorf("a side of %g dots, wanted %.1f", side[0], want)
		}
	}
	return page.SubImage(cut).(*image.Gray)
}

// photograph writes a photo of the card in use to path.
func photograph(t *testing.T, path string, printed *image.Gray) scene.Truth {
	t.Helper()
	spectra, err := scene.Load(os.DirFS("../../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	oxblood, _ := scene.DyeNamed("Brent oxblood")
	dyed := func(strength float64) scene.Material {
		return scene.Leather(scene.Blend{{Dye: oxblood, Amount: 1}}, strength)
	}
	pose := scene.Pose{X: 52, Y: 12, Angle: 2}
	in := func(window card.Box) scene.Pose {
		return pose.Then(scene.Pose{X: float64(window.X + window.W/2), Y: float64(window.Y + window.H/2), Angle: -1})
	}
	l := card.NewLayout()
	grain := scene.Surface{Grain: .04}
	img, truth, err := scene.Render(scene.Scene{Seed: 12, Width: 1800, Height: 1350,
		View:  scene.View{Centre: scene.Point{X: 148, Y: 105}, Across: 320, Rotation: 3, Tilt: 6, Direction: 200},
		Light: scene.Lighting{Lamp: scene.Point{X: 700, Y: -500}, Height: 1500, Shadow: .4, Angle: 120, ShadowLength: 1, ShadowBlur: 1.5},
		Camera: scene.Camera{Sensor: scene.IMX219, WhiteBalance: [2]float64{.03, -.02}, Exposure: -.4, Blur: .7, Vignette: .1,
			Flare: .006, Shot: 1e-4, Read: .0005, Tone: scene.SCurve},
		Sheet: scene.Sheet{W: 297, H: 210, Colour: colour.Lab{L: 93, B: 1}, Texture: .004, Bench: colour.Lab{L: 47, A: 9, B: 19}, Plank: 48},
		Layers: []scene.Layer{{Image: printed, MMPerPixel: mmPerInch / printDPI, Pose: pose,
			Paper: colour.Lab{L: 95, A: .5, B: -2.5}, Error: 1.5}},
		Items: []scene.Item{
			{Name: "swatch", Kind: scene.Swatch, Outline: scene.Rect(24, 24, 1), Pose: in(l.Swatch), Material: dyed(1), Surface: grain, Lift: 1.5},
			{Name: "hide", Kind: scene.Hide, Outline: scene.Rect(24, 24, 1), Pose: in(l.Hide), Material: scene.BareHide(), Surface: grain, Lift: 1.5},
			{Name: "strap", Kind: scene.Piece, Outline: scene.Strip(220, 40), Pose: scene.Pose{X: 150, Y: 140, Angle: -4}, Lift: 3, Material: dyed(.65),
				Surface: scene.Surface{Grain: .05, Blotch: .4, Edge: 1, Crease: 3}},
		}}, spectra)
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := scene.WriteJPEG(&file, img, scene.File{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, file.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return truth
}
