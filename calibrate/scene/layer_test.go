package scene

import (
	"image"
	"math"
	"testing"

	"evenhide/colour"
)

// stripes is a picture of vertical bars of the given greys, 20 pixels each.
func stripes(levels ...uint8) *image.Gray {
	img := image.NewGray(image.Rect(0, 0, 20*len(levels), 40))
	for i := range img.Pix {
		img.Pix[i] = levels[i%img.Stride/20]
	}
	return img
}

func TestPrintShowsItsGreysWhereItLies(t *testing.T) {
	const slack = 1.05 // see TestIdealCameraShowsTheTruth
	s := loadSpectra(t)
	levels := []uint8{255, 200, 150, 100, 60, 20}
	paper := colour.Lab{L: 95, A: .3, B: -1}
	sc := plainScene()
	card := Pose{X: 30, Y: 20, Angle: 15}
	sc.Layers = []Layer{{Image: stripes(levels...), MMPerPixel: .5, Pose: card, Paper: paper}}
	img, truth := mustRender(t, sc, s)
	for i, v := range levels {
		c := truth.ToPixels.At(card.At(Point{10*float64(i) + 5, 10}))
		x, y := int(c.X), int(c.Y)
		mean, _ := meanLinear(img, image.Rect(x-2, y-2, x+3, y+3))
		if d := deltaE2000(labOf(mean), truth.Levels[0][v]); d > slack*roundingOf(truth.Levels[0][v]) {
			t.Errorf("grey %d: seen %.2f, truth %.2f", v, labOf(mean), truth.Levels[0][v])
		}
		// Relative to the paper the printer makes the lightness of that sRGB grey,
		// down to the ink's own 18.
		want := max(toLab([3]float64{0, decode(float64(v) / 255), 0}, [3]float64{1, 1, 1}).L*paper.L/100, 18)
		if got := truth.Levels[0][v].L; math.Abs(got-want) > 0.05 {
			t.Errorf("grey %d printed at L* %.2f, want %.2f", v, got, want)
		}
	}
}

func TestPrinterErrorIsAsLargeAsAsked(t *testing.T) {
	s := loadSpectra(t)
	total, n := 0.0, 0.0
	e, err := s.newEye("", "", "")
	if err != nil {
		t.Fatal(err)
	}
	for seed := range uint64(40) {
		sc := Scene{Seed: seed, Layers: []Layer{{Image: stripes(255, 0), MMPerPixel: 1, Paper: colour.Lab{L: 95}}}}
		exact, err := e.newPrint(&sc, 0)
		if err != nil {
			t.Fatal(err)
		}
		sc.Layers[0].Error = 3
		off, err := e.newPrint(&sc, 0)
		if err != nil {
			t.Fatal(err)
		}
		if off.levels[255] != exact.levels[255] {
			t.Fatal("bare paper is off")
		}
		for v := 90; v < 250; v += 10 {
			d := e.lab(off.levels[v].xyz).L - e.lab(exact.levels[v].xyz).L
			total, n = total+d*d, n+1
		}
	}
	// The curve is random; over 40 of them its RMS lies within a tenth or so.
	if rms := math.Sqrt(total / n); math.Abs(rms-3) > .5 {
		t.Errorf("RMS %.2f, want 3", rms)
	}
}

func TestWindowOfACard(t *testing.T) {
	s := loadSpectra(t)
	card := Pose{X: 25, Y: 25, Angle: -12}
	window := card.Then(Pose{X: 40, Y: 12})
	sc := plainScene(Item{Name: "swatch", Kind: Swatch, Outline: Rect(15, 12, 0), Pose: window, Material: Leather(Blend{{Dyes()[0], 1}}, 1)})
	sc.Layers = []Layer{{Image: stripes(230, 230, 230, 230), MMPerPixel: 1, Pose: card}}
	_, truth := mustRender(t, sc, s)
	got := truth.ToPixels.At(card.At(Point{40, 12}))
	box := truth.Items[0].Box
	if !image.Pt(int(got.X), int(got.Y)).In(box) {
		t.Errorf("the window's middle %v lies outside the swatch's box %v", got, box)
	}
}
