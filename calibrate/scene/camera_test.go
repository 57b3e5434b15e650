package scene

import (
	"math"
	"testing"

	"evenhide/colour"
)

func TestCamerasAreRealNotColorimetric(t *testing.T) {
	// A 3×3 matrix on a real camera errs by one to a few ΔE00 over a chart (common
	// practice, no source); a colorimetric one by nothing, and a broken one by far
	// more.
	const least, most = 0.3, 6
	s := loadSpectra(t)
	d65 := s.lights[D65]
	white := s.white(&d65)
	for _, light := range Lights() {
		for _, camera := range Cameras() {
			e, err := s.newEye(camera, light, "")
			if err != nil {
				t.Fatal(err)
			}
			for _, row := range e.develop {
				if sum := row[0] + row[1] + row[2]; math.Abs(sum-1) > 1e-9 {
					t.Errorf("%s: a row of the matrix sums to %g, white would move", camera, sum)
				}
			}
			total := 0.0
			for _, p := range s.chart {
				truth := toLab(s.xyz(&p.spectrum, &d65), white)
				total += deltaE2000(truth, labOf(e.develop.Apply(respond(e.raw, &p.spectrum))))
			}
			mean := total / float64(len(s.chart))
			t.Logf("%-18s %-7s mean ΔE00 %.2f", camera, light, mean)
			if !(mean > least && mean < most) {
				t.Errorf("%s under %s: mean ΔE00 %.2f over the chart", camera, light, mean)
			}
		}
	}
}

func TestMatrixIsTheBestInSquares(t *testing.T) {
	s := loadSpectra(t)
	raw := s.weights(s.cameras[IMX219], s.lights[D65])
	m := s.fitMatrix(raw)
	d65 := s.lights[D65]
	toRGB := linearSRGB()
	whiteRGB := toRGB.Apply(s.white(&d65))
	squares := func(m colour.Matrix, row int) float64 {
		total := 0.0
		for _, p := range s.chart {
			d := m.Apply(respond(raw, &p.spectrum))[row] - toRGB.Apply(s.xyz(&p.spectrum, &d65))[row]/whiteRGB[row]
			total += d * d
		}
		return total
	}
	for row := range m {
		best := squares(m, row)
		for _, step := range [][3]float64{{1e-3, -1e-3, 0}, {-1e-3, 1e-3, 0}, {1e-3, 0, -1e-3}, {-1e-3, 0, 1e-3}} {
			n := m
			for i, d := range step {
				n[row][i] += d
			}
			if squares(n, row) <= best {
				t.Errorf("row %d: a step of %v errs less", row, step)
			}
		}
	}
}

func TestTonesRiseBetweenFixedEnds(t *testing.T) {
	for _, tone := range []Tone{PlainTone, SCurve, LiftedShadow} {
		codes := tone.codes(codeSteps)
		if codes[0] != 0 || codes[codeSteps-1] != 255 {
			t.Errorf("%v runs from %d to %d", tone, codes[0], codes[codeSteps-1])
		}
		for i := 1; i < codeSteps; i++ {
			if codes[i] < codes[i-1] || int(codes[i]) > int(codes[i-1])+1 {
				t.Fatalf("%v steps from %d to %d", tone, codes[i-1], codes[i])
			}
		}
	}
	if a, b := SCurve.bend(.25), LiftedShadow.bend(.25); !(a < .25-.02 && b > .25+.02) {
		t.Errorf("at 0.25 the S-curve gives %.3f, the lifted shadow %.3f", a, b)
	}
}

func TestWhiteBalanceExposureFlare(t *testing.T) {
	// A quarter of a code's light at the levels looked at.
	const quarter = 0.002
	s := loadSpectra(t)
	sc := plainScene()
	sc.Camera = Camera{WhiteBalance: [2]float64{.1, -.1}, Exposure: -2}
	img, _ := mustRender(t, sc, s)
	mean, _ := meanLinear(img, img.Rect)
	for c, want := range [3]float64{.25 * 1.1, .25, .25 * .9} {
		if math.Abs(mean[c]-want) > quarter {
			t.Errorf("channel %d: %.4f, want %.4f", c, mean[c], want)
		}
	}
	// Half the picture white, half black: a veil of 2 % of the mean lifts the black
	// to 0.01.
	sc = plainScene(Item{Kind: Other, Outline: Rect(120, 200, 0), Pose: Pose{X: 0, Y: 45}, Material: Plain(colour.Lab{L: 1})})
	sc.Camera.Flare = .02
	img, truth := mustRender(t, sc, s)
	mean, _ = meanLinear(img, truth.Items[0].Box)
	black := fromLab(truth.Items[0].Lab, [3]float64{1, 1, 1})[1]
	if got := mean[1] - black; math.Abs(got-.01) > .0015 { // steps of 16 pixels, and a code near black is 0.0003
		t.Errorf("the veil lifts black by %.4f, want 0.0100", got)
	}
}
