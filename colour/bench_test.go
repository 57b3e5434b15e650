package colour

import (
	"testing"

	"github.com/lucasb-eyer/go-colorful"
)

// The library's figures stand in the same run: its difference converts from RGB
// on every call, which is part of what it costs here.

func BenchmarkDeltaE2000(b *testing.B) {
	one, two := Lab{38, 18, 24}, Lab{36, 17, 22}
	b.Run("here", func(b *testing.B) {
		for b.Loop() {
			DeltaE2000(one, two, UnitWeights())
		}
	})
	b.Run("go-colorful", func(b *testing.B) {
		one, two := colorful.Lab(.38, .18, .24), colorful.Lab(.36, .17, .22)
		for b.Loop() {
			one.DistanceCIEDE2000(two)
		}
	})
}

func BenchmarkXYZToLab(b *testing.B) {
	c, white := XYZ{.20654008, .12197225, .05136952}, D65()
	b.Run("here", func(b *testing.B) {
		for b.Loop() {
			XYZToLab(c, white)
		}
	})
	b.Run("go-colorful", func(b *testing.B) {
		ref := [3]float64{white.X, white.Y, white.Z}
		for b.Loop() {
			colorful.XyzToLabWhiteRef(c.X, c.Y, c.Z, ref)
		}
	})
}
