package picture

import (
	"bytes"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/disintegration/imaging"

	"evenhide/calibrate"
	"evenhide/calibrate/card"
	"evenhide/calibrate/photo"
	"evenhide/calibrate/scene"
	"evenhide/colour"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

func box(r image.Rectangle) []surface.Corner {
	x0, y0, x1, y1 := float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y)
	return []surface.Corner{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func xywh(x, y, w, h int) image.Rectangle { return image.Rect(x, y, x+w, y+h) }

// demo is a demo photo with invented figures for its piece.
func demo(t testing.TB, name string, piece Mark) Subject {
	t.Helper()
	p, err := photo.Open(filepath.Join("../../../testdata/demo", name), photo.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := card.Find(p.Field)
	if err != nil {
		t.Fatal(err)
	}
	corners := func(quad [4]card.Pixel) (out []surface.Corner) {
		for _, q := range quad {
			out = append(out, surface.Corner(q))
		}
		return out
	}
	s := Subject{Field: p.Field, Title: name, Notes: []string{"ships up to ΔE00 2.0, blotch 1.5"},
		Marks: []Mark{{Kind: Card, Outline: corners(found.Outline())}}}
	l := card.NewLayout()
	var steps []calibrate.Step
	for _, step := range l.Steps {
		outline := corners(found.Quad(step.Box, 1.5))
		steps = append(steps, calibrate.Step{Region: surface.Polygon(outline, p.Field.Bounds()), L: step.L, Nominal: true})
		s.Marks = append(s.Marks, Mark{Kind: Step, Outline: outline, Label: fmt.Sprintf("%.0f", step.L)})
	}
	s.Develop = developed(t, p.Field, steps)
	s.Marks = append(s.Marks, Mark{Kind: Window, Outline: corners(found.Quad(l.Swatch, 4)), Label: "swatch"}, piece)
	return s
}

func developed(t testing.TB, f *colour.Field, steps []calibrate.Step) surface.Develop {
	t.Helper()
	cal, err := calibrate.Fit(f, steps)
	if err != nil {
		t.Fatal(err)
	}
	return func(_, _ float64, c colour.LinearRGB) colour.LinearRGB { return cal.Develop(c) }
}

func wallet(t testing.TB) Subject {
	s := demo(t, "wallet.jpg",
		Mark{Kind: Piece, Outline: box(xywh(353, 648, 1014, 438)), Label: "1", Verdict: tolerance.Ship,
			Text: []string{"ΔE00 0.6 ± 0.3", "blotch 0.4", "a hair lighter"}})
	for y := range 4 {
		for x := range 9 {
			s.Patches = append(s.Patches, xywh(362+x*110, 656+y*106, 104, 100))
		}
	}
	s.LeftOut = []surface.Region{{Rect: xywh(860, 850, 100, 60)}}
	return s
}

// strap has a piece with a name and a zone.
func strap(t testing.TB) Subject {
	s := demo(t, "strap.jpg", Mark{Kind: Piece, Outline: box(xywh(246, 772, 781, 106)), Label: "strap", Verdict: tolerance.AnotherCoat,
		Text: []string{"ΔE00 4.3 ± 0.3", "lighter, weaker, a little yellower"}})
	s.Marks = append(s.Marks, Mark{Kind: Zone, Outline: box(xywh(850, 780, 140, 90)), Label: "fold", Verdict: tolerance.Retake,
		Text: []string{"glare over 41 %"}})
	return s
}

// dozen is a rendered photo of twelve pieces in as many shades, with every
// verdict, and the outlines that the scene knows.
func dozen(t testing.TB) Subject {
	t.Helper()
	spectra, err := scene.Load(os.DirFS("../../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	sc := scene.Scene{Seed: 7, Width: 1440, Height: 1080, View: scene.View{Centre: scene.Point{X: 210, Y: 157}}, Sheet: scene.Sheet{W: 420, H: 315, Colour: colour.Lab{L: 95}}}
	for i, l := range []float64{90, 62, 35} {
		sc.Items = append(sc.Items, scene.Item{Name: fmt.Sprint(l), Kind: scene.Step, Outline: scene.Rect(20, 24, 0), NominalL: l,
			Pose: scene.Pose{X: 30 + 24*float64(i), Y: 24}, Material: scene.Plain(colour.Lab{L: l})})
	}
	for i := range 12 {
		dye := scene.Dyes()[i%len(scene.Dyes())]
		sc.Items = append(sc.Items, scene.Item{Name: fmt.Sprint(i + 1), Kind: scene.Piece, Outline: scene.Rect(62, 40, 6), Lift: 2,
			Pose:     scene.Pose{X: 60 + 100*float64(i%4), Y: 80 + 75*float64(i/4), Angle: float64(i%5)*6 - 12},
			Material: scene.Leather(scene.Blend{{Dye: dye, Amount: 1}}, .5+.1*float64(i)), Surface: scene.Surface{Grain: .04, Blotch: .5, Edge: 1}})
	}
	img, truth, err := scene.Render(sc, spectra)
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := scene.WriteJPEG(&file, img, scene.File{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(bytes.NewReader(file.Bytes()), "bench.jpg", photo.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	verdicts := []tolerance.Verdict{tolerance.Ship, tolerance.Hold, tolerance.AnotherCoat, tolerance.LookAgain, tolerance.Retake}
	s := Subject{Field: p.Field, Title: "Gürtel-und-Täschchen März.jpg", Notes: []string{"ships up to ΔE00 2.0, blotch 1.5"}}
	var steps []calibrate.Step
	for i, it := range truth.Items {
		m := Mark{Label: it.Name, Verdict: verdicts[i%len(verdicts)], Text: []string{fmt.Sprintf("ΔE00 %.1f ± 0.3", float64(i)*.6), "darker, redder"}}
		for _, c := range it.Outline {
			m.Outline = append(m.Outline, surface.Corner{X: c.X, Y: c.Y})
		}
		if it.Kind == scene.Step {
			m.Kind = Step
			steps = append(steps, calibrate.Step{Region: surface.Region{Rect: p.Field.Cells(it.Box)}, L: it.NominalL})
		}
		s.Marks = append(s.Marks, m)
	}
	s.Develop = developed(t, p.Field, steps)
	return s
}

// TestShow keeps the pictures, and as a phone shows them, in the folder that
// EVENHIDE_PICTURES names: to be looked at.
func TestShow(t *testing.T) {
	dir := os.Getenv("EVENHIDE_PICTURES")
	if dir == "" {
		t.Skip("EVENHIDE_PICTURES names no folder")
	}
	for name, s := range map[string]Subject{"wallet": wallet(t), "strap": strap(t), "dozen": dozen(t)} {
		img := Draw(s)
		if err := Write(filepath.Join(dir, name+".png"), img); err != nil {
			t.Fatal(err)
		}
		const phone = 400
		if err := Write(filepath.Join(dir, name+"-phone.png"), imaging.Resize(img, phone, 0, imaging.Box)); err != nil {
			t.Fatal(err)
		}
	}
}
