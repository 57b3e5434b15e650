package dye_test

import (
	"fmt"
	"image"
	"math"
	"os"
	"slices"
	"testing"

	"evenhide/calibrate/scene"
	"evenhide/colour"
	"evenhide/colour/dye"
)

// Photos of even squares of every dye at seven strengths beside bare hide, from
// measured cameras and lights; pairs whose strengths differ by up to 1.6. The
// strengths come back from three bands, the truth from 81 wavelengths.
func TestStrengthFromSpectra(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	const (
		// What the design promises of 0.7 to 1.3, held for every pair; and the
		// same for 95 of 100 pairs of 0.6 to 1.6, where three bands err by more.
		near, far95 = .05, .05
		// modelShare and shadeModel are the RMS seen here, to within a fifth: it
		// hangs on which dyes and lights are chosen.
		fit = .2
		// Intervals that hold less than 95 of 100 would claim too much.
		mostOutside = .05
	)
	spectra, err := scene.Load(os.DirFS("../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	var all seen
	for _, d := range scene.Dyes() {
		var s seen
		for _, eye := range eyes() {
			hide, squares := photograph(t, spectra, d, eye)
			s.pairs(t, hide, squares)
		}
		t.Logf("%-15s strength %s; Lab axis per log strength %s", d.Name, summary(s.errors), summary(s.axes))
		all.add(s)
	}
	t.Logf("%-15s strength %s; of 0.7 to 1.3: %s", "all", summary(all.errors), summary(all.close))
	t.Logf("share of the distance from 1: %s; Lab axis per log strength: %s; outside the interval %d of %d",
		summary(all.shares), summary(all.axes), all.outside, len(all.errors))
	if worst := summary(all.close).most; worst > near {
		t.Errorf("worst of 0.7 to 1.3: %.3f, at most %g wanted", worst, near)
	}
	if most := summary(all.errors).most95; most > far95 {
		t.Errorf("95 %% of 0.6 to 1.6: %.3f, at most %g wanted", most, far95)
	}
	if rms := summary(all.shares).rms; math.Abs(rms/dye.ModelShare-1) > fit {
		t.Errorf("share of the distance from 1: %.4f, stated %v", rms, dye.ModelShare)
	}
	if rms := summary(all.axes).rms; math.Abs(rms/dye.ShadeModel-1) > fit {
		t.Errorf("Lab axis per log strength: %.3f, stated %v", rms, dye.ShadeModel)
	}
	if share := float64(all.outside) / float64(len(all.errors)); share > mostOutside {
		t.Errorf("%.3f of the intervals miss the truth", share)
	}
}

// seen is what pairs of squares showed.
type seen struct {
	errors, close []float64 // of strength, as shares; close those of 0.7 to 1.3
	shares        []float64 // errors over the distance from 1
	axes          []float64 // L*, a*, b* left, over the logarithm of strength
	outside       int       // intervals that miss the truth
}

func (s *seen) add(o seen) {
	s.errors, s.close = append(s.errors, o.errors...), append(s.close, o.close...)
	s.shares, s.axes = append(s.shares, o.shares...), append(s.axes, o.axes...)
	s.outside += o.outside
}

// pairs holds every square against every other of 0.6 to 1.6 of its strength.
func (s *seen) pairs(t *testing.T, hide dye.Sample, squares []dye.Sample) {
	t.Helper()
	for i, reference := range strengths() {
		for j, strength := range strengths() {
			want := strength / reference
			if i == j || want < .6-1e-9 || want > 1.6+1e-9 {
				continue
			}
			got, err := dye.Relative(hide, squares[i], squares[j], dye.DefaultOptions())
			if err != nil {
				t.Fatalf("%g against %g: %v", strength, reference, err)
			}
			s.errors = append(s.errors, got.Value/want-1)
			if want > .69 && want < 1.31 {
				s.close = append(s.close, got.Value/want-1)
			}
			s.shares = append(s.shares, (got.Value-want)/(want-1))
			left, from := got.Shade.Sample, got.Shade.Predicted
			for _, axis := range []float64{left.L - from.L, left.A - from.A, left.B - from.B} {
				s.axes = append(s.axes, axis/math.Log(want))
			}
			if want < got.Interval[0] || want > got.Interval[1] {
				s.outside++
			}
		}
	}
}

type eye struct{ camera, light string }

// eyes returns the colorimetric camera, a phone's under four lights and two more
// cameras under the two lights of a bench at night.
func eyes() []eye {
	out := []eye{{scene.Ideal, scene.D65}, {scene.IMX219, scene.D65}, {scene.IMX219, scene.Triphosphor}}
	for _, c := range scene.Cameras() {
		out = append(out, eye{c, scene.NeutralLED}, eye{c, scene.Tungsten})
	}
	return out
}

func strengths() []float64 { return []float64{.5, .65, .8, 1, 1.25, 1.6, 2} }

// photograph returns the readings of bare hide and of the dye at each strength.
func photograph(t *testing.T, spectra *scene.Spectra, d scene.Dye, e eye) (hide dye.Sample, squares []dye.Sample) {
	t.Helper()
	sc := scene.Scene{Seed: 1, Width: 192, Height: 96, View: scene.View{Centre: scene.Point{X: 40, Y: 20}, Across: 80}}
	sc.Light.Name, sc.Camera.Sensor = e.light, e.camera
	sc.Camera.Read = .0005 // so that a mean is finer than a code of 8 bits
	for i, s := range append([]float64{0}, strengths()...) {
		m := scene.BareHide()
		if s > 0 {
			m = scene.Leather(scene.Blend{{Dye: d, Amount: 1}}, s)
		}
		sc.Items = append(sc.Items, scene.Item{Name: fmt.Sprint(i), Kind: scene.Piece, Outline: scene.Rect(18, 18, 0), Material: m,
			Pose: scene.Pose{X: 10 + 20*float64(i%4), Y: 10 + 20*float64(i/4)}})
	}
	img, truth, err := scene.Render(sc, spectra)
	if err != nil {
		t.Fatal(err)
	}
	for _, it := range truth.Items {
		squares = append(squares, read(img, it.Box))
	}
	return squares[0], squares[1:]
}

func read(img *image.RGBA, box image.Rectangle) dye.Sample {
	var sum [3]float64
	decode := colour.SRGB().Decode
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			for c := range sum {
				sum[c] += decode(float64(img.Pix[img.PixOffset(x, y)+c]) / 255)
			}
		}
	}
	n := float64(box.Dx() * box.Dy())
	return dye.Sample{RGB: colour.LinearRGB{R: sum[0] / n, G: sum[1] / n, B: sum[2] / n}}
}

type figures struct{ mean, rms, most95, most float64 }

func summary(errors []float64) figures {
	var f figures
	size := make([]float64, len(errors))
	for i, e := range errors {
		f.mean += e / float64(len(errors))
		f.rms += e * e / float64(len(errors))
		size[i] = math.Abs(e)
	}
	f.rms = math.Sqrt(f.rms)
	slices.Sort(size)
	f.most95, f.most = size[len(size)*95/100], size[len(size)-1]
	return f
}

func (f figures) String() string {
	return fmt.Sprintf("mean %+.3f, RMS %.3f, 95 %% %.3f, most %.3f", f.mean, f.rms, f.most95, f.most)
}
