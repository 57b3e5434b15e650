package colour

import "github.com/lucasb-eyer/go-colorful"

// XYZToLab returns the CIELAB colour of c under the given white (CIE 15:2018,
// 8.2.1, with the exact breakpoint (6/29)³). L* is 0..100 for Y in 0..1.
func XYZToLab(c XYZ, white White) Lab {
	l, a, b := colorful.XyzToLabWhiteRef(c.X, c.Y, c.Z, [3]float64{white.X, white.Y, white.Z})
	return Lab{100 * l, 100 * a, 100 * b}
}

// LabToXYZ returns the tristimulus values of c under the given white.
func LabToXYZ(c Lab, white White) XYZ {
	x, y, z := colorful.LabToXyzWhiteRef(c.L/100, c.A/100, c.B/100, [3]float64{white.X, white.Y, white.Z})
	return XYZ{x, y, z}
}

// Luminance returns the Y, 0..1, of a neutral with lightness l, 0..100.
func Luminance(l float64) float64 { return LabToXYZ(Lab{L: l}, D65()).Y }

// Lightness returns the L*, 0..100, of luminance y, 0..1.
func Lightness(y float64) float64 { return XYZToLab(XYZ{Y: y}, D65()).L }
