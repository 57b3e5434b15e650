// Package colour is the CIE arithmetic of evenhide: colour types that cannot be
// mixed up, RGB spaces, chromatic adaptation, CIELAB and colour differences, and
// the Field of linear colours that a photo becomes. It knows nothing of files,
// photos or screens.
//
// Ranges used everywhere:
//
//	EncodedRGB   0..1 per channel, after a transfer function (code / full code)
//	LinearRGB    0..1 per channel, proportional to light; 1,1,1 is the white
//	XYZ          Y = 1 for the perfect diffuser
//	Lab          L* 0..100, a* and b* unscaled
//	LCh          L* 0..100, C* unscaled, h in degrees 0..360
//	differences  ordinary CIELAB units
//
// Unless a function says otherwise the white point is D65 of the CIE 1931 2°
// observer, taken from xy (0.3127, 0.3290), and LinearRGB is in the working
// space, WorkingSpace.
package colour
