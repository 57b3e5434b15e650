package scene

import (
	"fmt"
	"math"

	"evenhide/colour"
)

// eye is a camera under a light, white-balanced: what it makes of a reflectance.
type eye struct {
	spectra *Spectra
	raw     [3]Spectrum // weight of each wavelength in each channel; sums to 1
	d65     Spectrum
	white   [3]float64 // of the perfect diffuser under D65
	develop colour.Matrix
}

// linearSRGB returns XYZ to linear sRGB, from the inverse of the matrix of
// IEC 61966-2-1's primaries and white (agrees with the standard's four decimals).
func linearSRGB() colour.Matrix {
	m, _ := colour.Matrix{
		{.4123908, .3575843, .1804808}, {.2126390, .7151687, .0721923}, {.0193308, .1191948, .9505322},
	}.Inverse()
	return m
}

// newEye sets up a camera under a light. The matrix that develops its raw
// colours into linear sRGB is fitted to the chart under matrixLight, "" being
// the light itself.
func (s *Spectra) newEye(camera, light, matrixLight string) (*eye, error) {
	l, err := s.light(light)
	if err != nil {
		return nil, err
	}
	e := &eye{spectra: s, d65: s.lights[D65]}
	e.white = s.white(&e.d65)
	if camera == "" || camera == Ideal {
		e.raw, e.develop = s.weights(s.colorimetric(), l), colour.Identity()
		return e, nil
	}
	sensor, ok := s.cameras[camera]
	if !ok {
		return nil, fmt.Errorf("scene: no camera called %q; there are %v and %s", camera, Cameras(), Ideal)
	}
	e.raw = s.weights(sensor, l)
	fitted := l
	if matrixLight != "" {
		if fitted, err = s.light(matrixLight); err != nil {
			return nil, err
		}
	}
	e.develop = s.fitMatrix(s.weights(sensor, fitted))
	return e, nil
}

// weights returns a sensor's response to each wavelength under a light, scaled
// so that the perfect diffuser gives 1 in each channel: its white balance.
func (s *Spectra) weights(sensor [3]Spectrum, light Spectrum) [3]Spectrum {
	for c := range sensor {
		for i := range sensor[c] {
			sensor[c][i] *= light[i]
		}
		total := sum(sensor[c])
		for i := range sensor[c] {
			sensor[c][i] /= total
		}
	}
	return sensor
}

// colorimetric returns the sensitivities of a camera that measures linear sRGB:
// the observer's functions through the sRGB matrix.
func (s *Spectra) colorimetric() [3]Spectrum {
	m := linearSRGB()
	var out [3]Spectrum
	for i := range samples {
		v := m.Apply([3]float64{s.observer[0][i], s.observer[1][i], s.observer[2][i]})
		for c := range out {
			out[c][i] = v[c]
		}
	}
	return out
}

// fitMatrix returns the 3×3 matrix from white-balanced raw colours to linear
// sRGB that errs least, in squares over the 24 chart patches under D65, among
// those that leave white as it is: each row sums to 1.
func (s *Spectra) fitMatrix(raw [3]Spectrum) colour.Matrix {
	d65 := s.lights[D65]
	white, toRGB := s.white(&d65), linearSRGB()
	whiteRGB := toRGB.Apply(white)
	var m colour.Matrix
	for row := range m {
		var n [2][2]float64 // normal equations in the row's first two entries
		var v [2]float64
		for _, patch := range s.chart {
			r := respond(raw, &patch.spectrum)
			target := toRGB.Apply(s.xyz(&patch.spectrum, &d65))[row] / whiteRGB[row]
			x := [2]float64{r[0] - r[2], r[1] - r[2]}
			for i := range x {
				v[i] += x[i] * (target - r[2])
				n[i][0] += x[i] * x[0]
				n[i][1] += x[i] * x[1]
			}
		}
		det := n[0][0]*n[1][1] - n[0][1]*n[1][0]
		a := (v[0]*n[1][1] - v[1]*n[0][1]) / det
		b := (v[1]*n[0][0] - v[0]*n[1][0]) / det
		m[row] = [3]float64{a, b, 1 - a - b}
	}
	return m
}

func respond(raw [3]Spectrum, reflectance *Spectrum) [3]float64 {
	var out [3]float64
	for c := range out {
		for i, r := range reflectance {
			out[c] += raw[c][i] * r
		}
	}
	return out
}

func (e *eye) cell(r Spectrum) cell {
	raw, xyz := respond(e.raw, &r), e.spectra.xyz(&r, &e.d65)
	var out cell
	for c := range raw {
		out.raw[c], out.xyz[c] = float32(raw[c]), float32(xyz[c])
	}
	return out
}

// lab returns the CIELAB colour under D65 of tristimulus values.
func (e *eye) lab(xyz [3]float32) colour.Lab {
	return toLab([3]float64{float64(xyz[0]), float64(xyz[1]), float64(xyz[2])}, e.white)
}

// Tone is how the camera's rendering bends the encoded values, 0..1.
type Tone int

// The renderings.
const (
	PlainTone    Tone = iota // the sRGB curve and nothing else
	SCurve                   // more contrast in the middle, deeper shadows
	LiftedShadow             // shadows raised, as phones do against a bright sheet
)

func (t Tone) String() string { return [...]string{"plain", "s-curve", "lifted shadow"}[t] }

// bend returns the encoded value after the rendering; both 0..1, rising.
func (t Tone) bend(v float64) float64 {
	switch t {
	case SCurve:
		return v - 0.05*math.Sin(2*math.Pi*v)
	case LiftedShadow:
		return v + 0.45*v*(1-v)*(1-v)*(1-v)
	}
	return v
}

// codes returns the 8-bit code of each linear value i/(n-1).
func (t Tone) codes(n int) []uint8 {
	out := make([]uint8, n)
	for i := range out {
		v := float64(i) / float64(n-1)
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		out[i] = uint8(math.Round(255 * t.bend(v)))
	}
	return out
}
