package colour

import "math"

// DeltaE76 returns ΔE*ab, the straight distance between two CIELAB colours in
// ordinary units (CIE 15:2018, 8.2.1). The colours are under the same white; the
// order does not matter. Grey-scale steps are given in it; for small differences
// between chromatic colours it overstates what is seen.
func DeltaE76(ref, sample Lab) float64 {
	return math.Hypot(sample.L-ref.L, math.Hypot(sample.A-ref.A, sample.B-ref.B))
}

// chromaHue returns ΔC* and ΔH* of sample minus ref. ΔH* is the part of the
// a*b* distance that chroma leaves, positive when the sample's hue angle is the
// greater (anticlockwise, as ISO 105-J03 signs it), 0 when either is neutral.
//
// The angle between the two comes from their cross and dot products, so that no
// digits are lost as they are when ΔH*² is a difference of squares.
func chromaHue(ref, sample Lab) (dC, dH float64) {
	c1, c2 := math.Hypot(ref.A, ref.B), math.Hypot(sample.A, sample.B)
	turn := math.Atan2(ref.A*sample.B-sample.A*ref.B, ref.A*sample.A+ref.B*sample.B)
	return c2 - c1, 2 * math.Sqrt(c1*c2) * math.Sin(turn/2)
}
