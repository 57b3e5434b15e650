package picture

import (
	"math"
	"testing"

	"evenhide/calibrate"
	"evenhide/colour"
	"evenhide/colour/surface"
)

// BenchmarkDraw draws a 12 megapixel phone photo, read as 3 M cells, with a
// calibration as a check has it: the card of the wallet's photo, in a larger field.
func BenchmarkDraw(b *testing.B) {
	small := wallet(b)
	f := colour.NewField(2016, 1512, 2)
	step := float64(small.Field.W) / float64(f.W)
	for y := range f.H {
		for x := range f.W {
			c := small.Field.At(int(float64(x)*step), int(float64(y)*step))
			p := f.RGB[3*(y*f.W+x):]
			p[0], p[1], p[2] = float32(c.R), float32(c.G), float32(c.B)
		}
	}
	s := Subject{Field: f, Title: small.Title, Notes: small.Notes}
	var steps []calibrate.Step
	for _, m := range small.Marks {
		for i, c := range m.Outline {
			m.Outline[i] = surface.Corner{X: math.Round(c.X / step), Y: math.Round(c.Y / step)}
		}
		if m.Kind == Step {
			var l float64
			for _, digit := range m.Label {
				l = 10*l + float64(digit-'0')
			}
			steps = append(steps, calibrate.Step{Region: surface.Polygon(m.Outline, f.Bounds()), L: l})
		}
		s.Marks = append(s.Marks, m)
	}
	s.Develop = developed(b, f, steps)
	v := newView(f, defaultLong)
	b.Run("whole", func(b *testing.B) {
		for b.Loop() {
			Draw(s)
		}
	})
	b.Run("photo", func(b *testing.B) {
		img := Draw(s)
		for b.Loop() {
			v.develop(img, f, s.Develop)
		}
	})
	d := darkroom{v, s.Develop, encodeTable()}
	b.Run("tones", func(b *testing.B) {
		for b.Loop() {
			d.tones().trusted(f, d)
		}
	})
	b.Run("photo, undeveloped", func(b *testing.B) {
		img := Draw(s)
		for b.Loop() {
			v.develop(img, f, nil)
		}
	})
	b.Run("develop", func(b *testing.B) {
		for b.Loop() {
			s.Develop(1, 1, colour.LinearRGB{R: .3, G: .2, B: .1})
		}
	})
}
