package colour

import "math"

// EncodedRGB is an RGB colour as a file stores it, after the transfer function
// of its space: 0..1 per channel.
type EncodedRGB struct{ R, G, B float64 }

// LinearRGB is an RGB colour proportional to light: 0..1 per channel, where
// 1,1,1 is the space's white. It is in the working space unless the function
// that returns it names another.
type LinearRGB struct{ R, G, B float64 }

// XYZ holds CIE 1931 tristimulus values, with Y = 1 for the perfect diffuser.
type XYZ struct{ X, Y, Z float64 }

// Lab is a CIELAB colour (CIE 15:2018, 8.2.1): L* 0..100, a* and b* unscaled.
// The white point is D65, 2°, unless the function that returns it names another.
type Lab struct{ L, A, B float64 }

// LCh is CIELAB in polar form: C* is the chroma and H the hue angle in degrees,
// 0 <= H < 360. The hue of an exact neutral is 0.
type LCh struct{ L, C, H float64 }

// LCh returns the polar form of c.
func (c Lab) LCh() LCh {
	if c.A == 0 && c.B == 0 {
		return LCh{L: c.L}
	}
	h := math.Atan2(c.B, c.A) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	if h >= 360 { // a hue of −1e-15° rounds up to it
		h = 0
	}
	return LCh{L: c.L, C: math.Hypot(c.A, c.B), H: h}
}

// Lab returns the rectangular form of c.
func (c LCh) Lab() Lab {
	sin, cos := math.Sincos(c.H * math.Pi / 180)
	return Lab{L: c.L, A: c.C * cos, B: c.C * sin}
}

// Finite reports whether every component of c is a finite number.
func (c Lab) Finite() bool {
	sum := c.L + c.A + c.B
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}
