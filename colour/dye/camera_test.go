package dye_test

import (
	"os"
	"testing"

	"evenhide/calibrate/scene"
	"evenhide/colour"
	"evenhide/colour/dye"
)

// What is said of a colour seen by a camera holds for measured cameras and lights,
// none of which was drawn: two dabs of a dye tell what a third strength of it is to the
// eye, as closely as is claimed.
func TestMeasuredCamerasAreOfTheKind(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	const (
		within = 7.81 // χ² of three numbers, 95 %
		held   = .9   // of 63; 93 % and up of many more
		narrow = 4.0  // Lab units on an axis, RMS: else nothing is claimed
	)
	spectra, err := scene.Load(os.DirFS("../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	in, all, variance := 0, 0, 0.0
	for _, d := range scene.Dyes() {
		for _, eye := range eyes() {
			hide, squares := photograph(t, spectra, d, eye) // .5 first, 1.25 fifth
			v := dye.View{Hide: reading(hide), Dabs: []dye.Dab{{dye.Pure(0, 1), reading(squares[4])}, {dye.Pure(0, .4), reading(squares[0])}}}
			p, err := dye.NewPalette([]string{d.Name}, []dye.View{v})
			if err != nil {
				t.Fatalf("%s, %v: %v", d.Name, eye, err)
			}
			got, err := p.Mix([]float64{.8}, .45)
			if err != nil {
				t.Fatal(err)
			}
			want := spectra.Dyed(scene.Blend{{Dye: d, Amount: 1}}, .8, 1)
			off := [3]float64{got.Lab.L - want.L, got.Lab.A - want.A, got.Lab.B - want.B}
			inverse, ok := got.Cov.Inverse()
			if !ok {
				t.Fatalf("%s, %v: covariance %v", d.Name, eye, got.Cov)
			}
			square := 0.0
			for i, w := range inverse.Apply(off) {
				square += w * off[i]
				variance += got.Cov[i][i] / 3
			}
			if all++; square <= within {
				in++
			} else {
				t.Logf("%s, %v: off by %.1f, χ² %.1f", d.Name, eye, off, square)
			}
		}
	}
	if t.Logf("%d of %d held, variance of an axis %.1f", in, all, variance/float64(all)); float64(in) < held*float64(all) || variance > narrow*narrow*float64(all) {
		t.Errorf("%d of %d held, variance of an axis %.1f", in, all, variance/float64(all))
	}
}

func reading(s dye.Sample) dye.Reading {
	return dye.Reading{Lab: colour.XYZToLab(colour.WorkingSpace().XYZ(s.RGB), colour.D65()), Shared: []colour.Lab{}}
}
