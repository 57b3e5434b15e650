package colour

import (
	"math"

	"github.com/lucasb-eyer/go-colorful"
)

// White is the tristimulus value of a white point, with Y = 1.
type White XYZ

// WhiteXY returns the white point with CIE 1931 chromaticity x, y.
func WhiteXY(x, y float64) White { return White{X: x / y, Y: 1, Z: (1 - x - y) / y} }

// D65 returns the white of CIE D65, 2°, from xy (0.3127, 0.3290) as
// IEC 61966-2-1 gives it: XYZ 0.95045593, 1, 1.08905775.
func D65() White { return WhiteXY(0.3127, 0.3290) }

// D50 returns the white of CIE D50, 2°, from xy (0.3457, 0.3585): XYZ
// 0.96429568, 1, 0.82510460.
func D50() White { return WhiteXY(0.3457, 0.3585) }

// ICCWhite returns the white of the ICC profile connection space, D50 as
// ICC.1:2022 rounds it: XYZ 0.9642, 1, 0.8249 (from memory of the standard).
func ICCWhite() White { return White{0.9642, 1, 0.8249} }

// Space is an additive RGB space: its matrix to XYZ, under its own white, and
// the transfer function that turns an encoded channel value into light.
type Space struct {
	Name   string
	White  White
	ToXYZ  Matrix // linear RGB to XYZ under White
	Decode func(encoded float64) float64
}

// SRGB returns the space of IEC 61966-2-1, its matrix derived from the
// primaries and D65 to full precision (it agrees with the standard's four
// decimals).
func SRGB() Space {
	return newSpace("sRGB", [3][2]float64{{.64, .33}, {.30, .60}, {.15, .06}}, decodeSRGB)
}

// DisplayP3 returns the space phones tag as Display P3: the P3 primaries, D65
// and the transfer function of sRGB.
func DisplayP3() Space {
	return newSpace("Display P3", [3][2]float64{{.680, .320}, {.265, .690}, {.150, .060}}, decodeSRGB)
}

// AdobeRGB returns the space of Adobe RGB (1998): gamma 563/256.
func AdobeRGB() Space {
	return newSpace("Adobe RGB (1998)", [3][2]float64{{.64, .33}, {.21, .71}, {.15, .06}},
		func(v float64) float64 { return math.Pow(max(v, 0), 563.0/256) })
}

// WorkingSpace returns the space that every LinearRGB is in once a photo has
// been read.
func WorkingSpace() Space { return SRGB() }

func decodeSRGB(v float64) float64 {
	r, _, _ := colorful.Color{R: v}.LinearRgb()
	return r
}

// newSpace derives the RGB to XYZ matrix from the primaries' xy chromaticities
// and D65: each primary is scaled so that their sum is the white.
func newSpace(name string, primaries [3][2]float64, decode func(float64) float64) Space {
	var m Matrix
	for i, p := range primaries {
		x, y := p[0], p[1]
		m[0][i], m[1][i], m[2][i] = x/y, 1, (1-x-y)/y
	}
	white := D65()
	inverse, _ := m.Inverse() // three distinct primaries always have one
	s := inverse.Apply([3]float64{white.X, white.Y, white.Z})
	return Space{Name: name, White: white, ToXYZ: m.Mul(Diagonal(s[0], s[1], s[2])), Decode: decode}
}

// Linear returns the light that the encoded colour c stands for in s.
func (s Space) Linear(c EncodedRGB) LinearRGB {
	return LinearRGB{s.Decode(c.R), s.Decode(c.G), s.Decode(c.B)}
}

// XYZ returns the tristimulus values of c, a linear colour of s, under s.White.
func (s Space) XYZ(c LinearRGB) XYZ {
	v := s.ToXYZ.Apply([3]float64{c.R, c.G, c.B})
	return XYZ{v[0], v[1], v[2]}
}

// RGB returns the linear colour of s with tristimulus values c under s.White.
// Colours outside the space's gamut have channels below 0 or above 1.
func (s Space) RGB(c XYZ) LinearRGB {
	inverse, _ := s.ToXYZ.Inverse() // a Space always has independent primaries
	v := inverse.Apply([3]float64{c.X, c.Y, c.Z})
	return LinearRGB{v[0], v[1], v[2]}
}
