package calibrate

import (
	"image"
	"math/rand/v2"
	"testing"

	"evenhide/colour"
	"evenhide/colour/surface"
)

// A phone bends the tones of its own primaries. Undone in those, a strong colour
// comes back; undone in the working space's it does not.
func TestTonesAreUndoneInThePhotosOwnPrimaries(t *testing.T) {
	p3, working := colour.DisplayP3(), colour.WorkingSpace()
	fromXYZ, _ := p3.ToXYZ.Inverse()
	own := fromXYZ.Mul(working.ToXYZ)
	back, _ := own.Inverse()
	apply := func(m colour.Matrix, v colour.LinearRGB) colour.LinearRGB {
		out := m.Apply([3]float64{v.R, v.G, v.B})
		return colour.LinearRGB{R: out[0], G: out[1], B: out[2]}
	}
	bend := func(v float64) float64 { return sCurve(.8 * v) }
	c := camera{gain: [3]float64{.8, .8, .8}, tone: sCurve}
	f, steps := strip(c, sixSteps)
	red := colour.LinearRGB{R: .3, G: .03, B: .02}
	v := apply(own, red)
	written := apply(back, colour.LinearRGB{R: bend(v.R), G: bend(v.G), B: bend(v.B)})

	off := func(own *colour.Matrix) float64 {
		f.Own = own
		cal, err := Fit(f, steps)
		if err != nil {
			t.Fatal(err)
		}
		return colour.DeltaE2000(cal.Lab(written), lab(red), colour.UnitWeights())
	}
	with, without := off(&own), off(nil)
	t.Logf("ΔE00 of a red %.2f, %.2f undone in the working space", with, without)
	const most = .6 // L* that the curve itself may miss: TestFitUndoesTheCamera
	if with > most || without < 2*with {
		t.Errorf("a red is off by %.2f ΔE00 and by %.2f undone in the working space", with, without)
	}
}

// Two rows of misprinted greys in opposite order, in light that falls along them: the
// copies tell the light of the sheet better than the print does.
func TestCopiesTellTheLightOfTheSheet(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	ls := []float64{95, 88, 81, 74, 67, 60, 53, 46, 39, 32, 25, 20}
	const trials = 12
	better, before, after := 0, 0.0, 0.0
	for seed := range uint64(trials) {
		r := rand.New(rand.NewPCG(seed, 8))
		print := make([]float64, len(ls))
		for i, l := range ls {
			print[i] = l + 2*r.NormFloat64()
		}
		level := func(x, y float64) [3]float64 {
			v := .95 - .45*x/800
			return [3]float64{v, v, v}
		}
		b := bench{w: 800, h: 600, light: level, noise: .01, tone: func(v float64) float64 { return .8 * sCurve(v) },
			at: func(x, y float64) colour.LinearRGB {
				i := int(x-40) / 60
				switch {
				case x < 40 || i >= len(ls) || y < 250 || y >= 350:
					return grey(.85)
				case y < 300:
					return grey(colour.Luminance(print[i]))
				}
				return grey(colour.Luminance(print[len(ls)-1-i]))
			}}
		var steps []Step
		for i := range ls {
			for row, l := range [2]float64{ls[i], ls[len(ls)-1-i]} {
				steps = append(steps, Step{L: l, Nominal: true, Region: surface.Region{
					Rect: image.Rect(50+60*i, 255+50*row, 90+60*i, 295+50*row)}})
			}
		}
		f := b.field()
		card := []Polygon{{{X: 30, Y: 245}, {X: 770, Y: 245}, {X: 770, Y: 355}, {X: 30, Y: 355}}}
		cal, err := Fit(f, steps)
		if err != nil {
			t.Fatal(err)
		}
		s, err := FindSheet(f, cal.Undo, card)
		if err != nil {
			t.Fatal(err)
		}
		first := worstOf(s.Light, level, 800, 600)
		tone, ok := cal.ToneIn(s.Light)
		if !ok {
			t.Fatal("the copies say nothing")
		}
		if err := s.Redevelop(tone); err != nil {
			t.Fatal(err)
		}
		second := worstOf(s.Light, level, 800, 600)
		before, after = before+first/trials, after+second/trials
		if second < first {
			better++
		}
	}
	t.Logf("log light off by %.3f by the print, %.3f by the copies as well; better in %d of %d", before, after, better, trials)
	if after > .6*before || 4*better < 3*trials {
		t.Errorf("log light off by %.3f by the print, %.3f by the copies as well; better in %d of %d", before, after, better, trials)
	}
}
