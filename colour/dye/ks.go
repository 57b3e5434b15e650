package dye

import (
	"errors"
	"math"
)

// What callers tell apart with errors.Is.
var (
	// ErrReflectance: a colour that no surface has, or not a number.
	ErrReflectance = errors.New("not the reflectance of a surface")
	// ErrReference: the reference is no darker than the bare hide.
	ErrReference = errors.New("the reference is no darker than the bare hide")
	// ErrBare: the sample shows no dye, so there is no strength to compare.
	ErrBare = errors.New("as pale as the bare hide")
	// ErrTooDark: the sample is darker than strength can be told from.
	ErrTooDark = errors.New("too dark to tell its strength")
)

// KS returns the Kubelka-Munk ratio K/S = (1-R)²/2R of absorption to scattering
// in an opaque layer of reflectance R, 0 < R <= 1. It falls from +Inf to 0 and is
// NaN outside that range. Kubelka and Munk, Z. Tech. Phys. 12 (1931) 593.
func KS(reflectance float64) float64 {
	if !(reflectance > 0 && reflectance <= 1) {
		return math.NaN()
	}
	return (1 - reflectance) * (1 - reflectance) / (2 * reflectance)
}

// Reflectance returns the R that KS gives ks for, 0 < R <= 1, or NaN for ks
// below 0. Written so that no digits are lost where ks is large.
func Reflectance(ks float64) float64 {
	if !(ks >= 0) {
		return math.NaN()
	}
	if ks > 1e100 { // its square would overflow; R is 1/2ks to all digits
		return 1 / (2 * ks)
	}
	return 1 / (1 + ks + math.Sqrt(ks*(ks+2)))
}

// Saunderson corrects for the light turned back at the surface, where the finish
// meets the air: K1 of what comes from outside, K2 of what comes from within.
// Both are 0 to below 1, as fractions; the zero value corrects nothing. For a
// glossy finish K1 is about .04 and K2 about .60; for a camera that looks
// straight down with the light from the side K1 is about 0 (from memory of
// Saunderson, J. Opt. Soc. Am. 32 (1942) 727).
type Saunderson struct{ K1, K2 float64 }

// Internal returns the reflectance within the layer for one measured outside. It
// is 0 or less where measured is at most K1: all of it came from the surface.
func (s Saunderson) Internal(measured float64) float64 {
	return (measured - s.K1) / (1 - s.K1 - s.K2 + s.K2*measured)
}

// Measured returns the reflectance outside for one within: Internal's inverse.
func (s Saunderson) Measured(internal float64) float64 {
	return s.K1 + (1-s.K1)*(1-s.K2)*internal/(1-s.K2*internal)
}

func (s Saunderson) valid() bool {
	return s.K1 >= 0 && s.K1 < 1 && s.K2 >= 0 && s.K2 < 1 && s.K1+s.K2 < 1
}
