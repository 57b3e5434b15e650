package scene

import (
	"bytes"
	"image"
	"math"
	"runtime"
	"testing"

	"evenhide/colour"
)

// plainScene is an undisturbed photo of a few items on a white sheet.
func plainScene(items ...Item) Scene {
	return Scene{Seed: 3, Width: 300, Height: 225, View: View{Centre: Point{60, 45}, Across: 120}, Items: items}
}

func mustRender(t testing.TB, sc Scene, s *Spectra) (*image.RGBA, Truth) {
	t.Helper()
	img, truth, err := Render(sc, s)
	if err != nil {
		t.Fatal(err)
	}
	return img, truth
}

// meanLinear returns the mean of the decoded channels over a box, and their
// variance.
func meanLinear(img *image.RGBA, box image.Rectangle) (mean, variance [3]float64) {
	var square [3]float64
	n := float64(box.Dx() * box.Dy())
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			for c := range mean {
				v := decode(float64(img.Pix[y*img.Stride+4*x+c]) / 255)
				mean[c] += v / n
				square[c] += v * v / n
			}
		}
	}
	for c := range mean {
		variance[c] = square[c] - mean[c]*mean[c]
	}
	return mean, variance
}

// labOf decodes linear sRGB to CIELAB through the sRGB matrix alone.
func labOf(rgb [3]float64) colour.Lab {
	toXYZ, _ := linearSRGB().Inverse()
	return toLab(toXYZ.Apply(rgb), toXYZ.Apply([3]float64{1, 1, 1}))
}

// roundingOf returns the largest ΔE00 that rounding each channel of c to a code
// of 255 can make: half a code either way.
func roundingOf(c colour.Lab) float64 {
	toXYZ, _ := linearSRGB().Inverse()
	rgb := linearSRGB().Apply(fromLab(c, toXYZ.Apply([3]float64{1, 1, 1})))
	worst := 0.0
	for corner := range 8 {
		moved := rgb
		for i, v := range rgb {
			code := 255 * (1.055*math.Pow(v, 1/2.4) - 0.055)
			if v <= 0.0031308 {
				code = 255 * 12.92 * v
			}
			moved[i] = decode((code + float64(corner>>i&1) - .5) / 255)
		}
		worst = max(worst, deltaE2000(c, labOf(moved)))
	}
	return worst
}

func greys(ls ...float64) []Item {
	var out []Item
	for i, l := range ls {
		out = append(out, Item{Kind: Step, Outline: Rect(16, 16, 0), Pose: Pose{X: 14 + 18*float64(i%6), Y: 20 + 30*float64(i/6)},
			Material: Plain(colour.Lab{L: l}), NominalL: l})
	}
	return out
}

func TestNeutralsStayNeutral(t *testing.T) {
	s := loadSpectra(t)
	for _, camera := range append(Cameras(), Ideal) {
		sc := plainScene(greys(92, 78, 64, 50, 36, 22)...)
		for i := range sc.Items { // flat spectra: neutral to any camera
			sc.Items[i].Material = Material{}
		}
		sc.Camera.Sensor = camera
		sc.Light.Name = Triphosphor
		img, _ := mustRender(t, sc, s)
		for i := 0; i < len(img.Pix); i += 4 {
			if p := img.Pix[i:]; p[0] != 255 || p[1] != 255 || p[2] != 255 {
				t.Fatalf("%s: perfect white came out as %v", camera, p[:3])
			}
		}
		sc.Camera.Exposure = -2.3
		img, _ = mustRender(t, sc, s)
		p := img.Pix
		for i := 0; i < len(p); i += 4 {
			if p[i] != p[i+1] || p[i] != p[i+2] {
				t.Fatalf("%s: a darker white came out as %v", camera, p[i:i+3])
			}
		}
	}
}

func TestIdealCameraShowsTheTruth(t *testing.T) {
	// Nothing but rounding to codes stands between, and what the table from light
	// to code is coarse by.
	const slack = 1.05
	s := loadSpectra(t)
	items := greys(95, 80, 64, 50, 36, 22)
	for i, d := range Dyes() {
		items = append(items, Item{Name: d.Name, Kind: Piece, Outline: Rect(14, 14, 0), Pose: Pose{X: 10 + 16*float64(i), Y: 60},
			Material: Leather(Blend{{d, 1}}, .8)})
	}
	img, truth := mustRender(t, plainScene(items...), s)
	worst := 0.0
	for _, it := range truth.Items {
		mean, _ := meanLinear(img, it.Box)
		d := deltaE2000(it.Lab, labOf(mean))
		worst = max(worst, d)
		if limit := roundingOf(it.Lab) * slack; d > limit {
			t.Errorf("%s: decoded %.2f, truth %.2f, ΔE00 %.3f where rounding makes %.3f", it.Name, labOf(mean), it.Lab, d, limit)
		}
	}
	t.Logf("worst ΔE00 %.3f", worst)
}

func TestP3AndPlainDecodeAlike(t *testing.T) {
	s := loadSpectra(t)
	sc := plainScene(Item{Kind: Piece, Outline: Rect(60, 60, 0), Pose: Pose{X: 60, Y: 45}, Material: Leather(Blend{{Dyes()[4], 1}}, .8)})
	sc.Camera.P3 = true
	img, truth := mustRender(t, sc, s)
	mean, _ := meanLinear(img, truth.Items[0].Box)
	// The published Display P3 matrix, four decimals (from memory of the tables).
	p3 := colour.Matrix{{.4866, .2657, .1982}, {.2290, .6917, .0793}, {0, .0451, 1.0439}}
	got := toLab(p3.Apply(mean), p3.Apply([3]float64{1, 1, 1}))
	const wider = 1.3 // a code of the wider space spans more colour
	if d := deltaE2000(got, truth.Items[0].Lab); d > wider*roundingOf(truth.Items[0].Lab) {
		t.Errorf("decoded %.2f, truth %.2f", got, truth.Items[0].Lab)
	}
}

func TestSameSeedSamePicture(t *testing.T) {
	s := loadSpectra(t)
	sc := Random(5, Hard)
	sc.Width, sc.Height = 320, 240
	a, _ := mustRender(t, sc, s)
	before := runtime.GOMAXPROCS(1)
	b, _ := mustRender(t, Random320(5), s)
	runtime.GOMAXPROCS(before)
	if !bytes.Equal(a.Pix, b.Pix) {
		t.Error("one processor renders another picture")
	}
	c, _ := mustRender(t, Random320(6), s)
	if bytes.Equal(a.Pix, c.Pix) {
		t.Error("another seed renders the same picture")
	}
}

// Random320 is a small hard scene.
func Random320(seed uint64) Scene {
	sc := Random(seed, Hard)
	sc.Width, sc.Height = 320, 240
	return sc
}

func TestNoiseVariance(t *testing.T) {
	// 20,000 pixels and more give the variance within 1 % (1 sd); 4 sd allowed.
	const relative = 0.04
	s := loadSpectra(t)
	for _, light := range []float64{-1, -3} {
		sc := plainScene()
		sc.Camera.Exposure, sc.Camera.Shot, sc.Camera.Read = light, 4e-4, .004
		img, _ := mustRender(t, sc, s)
		mean, variance := meanLinear(img, img.Rect)
		level := math.Exp2(light)
		// Rounding to codes adds the variance of one code's width in light / 12.
		slope := 255 * 1.055 / 2.4 * math.Pow(level, 1/2.4-1) // codes per unit of light
		want := 4e-4*level + .004*.004 + 1/(12*slope*slope)
		for c := range mean {
			if math.Abs(mean[c]-level) > 0.002*level {
				t.Errorf("mean %.5f, want %.5f", mean[c], level)
			}
			if math.Abs(variance[c]/want-1) > relative {
				t.Errorf("variance %.3g, want %.3g", variance[c], want)
			}
		}
	}
}

func TestOutlineAndHomographyInPerspective(t *testing.T) {
	// The edge is soft over about a pixel and the box is looked at pixel by pixel.
	const pixel = 1.5
	s := loadSpectra(t)
	sc := plainScene(Item{Kind: Piece, Outline: Rect(50, 30, 0), Pose: Pose{X: 60, Y: 45, Angle: 17}, Material: Plain(colour.Lab{L: 10})})
	sc.Width, sc.Height = 800, 600
	sc.View.Tilt, sc.View.Direction, sc.View.Rotation = 35, 40, 25
	img, truth := mustRender(t, sc, s)
	outline := truth.Items[0].Outline
	dark := func(x, y int) bool { return img.Pix[y*img.Stride+4*x] < 128 }
	wrong := 0
	for y := range sc.Height {
		for x := range sc.Width {
			p := Point{float64(x) + .5, float64(y) + .5}
			if dark(x, y) == inside(outline, p) {
				continue
			}
			near := farAway
			for _, side := range sides(outline) {
				d, _ := side.nearest(p)
				near = min(near, d)
			}
			if near > pixel {
				wrong++
			}
		}
	}
	if wrong > 0 {
		t.Errorf("%d pixels lie on the wrong side of the outline", wrong)
	}
	// A pinhole keeps straight lines straight: the middle of the sheet's diagonal
	// lies on the line between its ends, but not half-way in a tilted view.
	h := truth.ToPixels
	a, m, b := h.At(Point{0, 0}), h.At(Point{60, 45}), h.At(Point{120, 90})
	if cross := (m.X-a.X)*(b.Y-a.Y) - (m.Y-a.Y)*(b.X-a.X); math.Abs(cross) > 1e-6*math.Hypot(b.X-a.X, b.Y-a.Y) {
		t.Errorf("the diagonal bends: %v %v %v", a, m, b)
	}
	if d := math.Hypot(m.X-400, m.Y-300); d > 1e-9 {
		t.Errorf("the view's centre lies %g px from the picture's", d)
	}
	if near, far := math.Hypot(m.X-a.X, m.Y-a.Y), math.Hypot(m.X-b.X, m.Y-b.Y); near < far*1.1 {
		t.Errorf("tilted away by 35°, yet %.1f px before the middle and %.1f beyond", near, far)
	}
}

func TestBadScenesAreErrors(t *testing.T) {
	s := loadSpectra(t)
	for name, change := range map[string]func(*Scene){
		"no size":   func(sc *Scene) { sc.Width = 0 },
		"huge":      func(sc *Scene) { sc.Width, sc.Height = 1<<40, 1<<40 },
		"no view":   func(sc *Scene) { sc.View.Across = 0 },
		"edge on":   func(sc *Scene) { sc.View.Tilt = 90 },
		"no light":  func(sc *Scene) { sc.Light.Name = "candle" },
		"no camera": func(sc *Scene) { sc.Camera.Sensor = "pinhole" },
		"no area":   func(sc *Scene) { sc.Items = []Item{{}} },
		"no print":  func(sc *Scene) { sc.Layers = []Layer{{}} },
	} {
		sc := plainScene()
		change(&sc)
		if _, _, err := Render(sc, s); err == nil {
			t.Errorf("%s: no error", name)
		} else {
			t.Log(err)
		}
	}
}

func BenchmarkRender(b *testing.B) {
	s := loadSpectra(b)
	sc := Random(12, Usual)
	b.ReportMetric(float64(sc.Width*sc.Height)/1e6, "megapixels")
	for b.Loop() {
		mustRender(b, sc, s)
	}
}
