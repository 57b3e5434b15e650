package dye

import (
	"fmt"

	"evenhide/colour"
)

// bands are the reflectances, or the K/S, of a colour in the bands of BT.2020.
type bands [3]float64

// space turns working-space colours into bands and back.
type space struct {
	toBands, toRGB, toXYZ colour.Matrix
	white                 colour.White
}

// newSpace derives the bands from the primaries of ITU-R BT.2020-2, table 2,
// under D65.
func newSpace() space {
	var wide colour.Matrix // its columns the primaries, scaled to sum to the white
	for i, p := range [3][2]float64{{.708, .292}, {.170, .797}, {.131, .046}} {
		w := colour.WhiteXY(p[0], p[1])
		wide[0][i], wide[1][i], wide[2][i] = w.X, w.Y, w.Z
	}
	inverse, _ := wide.Inverse() // three distinct primaries always have one
	white := colour.D65()
	s := inverse.Apply([3]float64{white.X, white.Y, white.Z})
	wide = wide.Mul(colour.Diagonal(s[0], s[1], s[2]))
	fromXYZ, _ := wide.Inverse()
	toBands := fromXYZ.Mul(colour.WorkingSpace().ToXYZ)
	toRGB, _ := toBands.Inverse()
	return space{toBands, toRGB, wide, white}
}

func (s space) bands(c colour.LinearRGB) bands { return s.toBands.Apply([3]float64{c.R, c.G, c.B}) }

func (s space) rgb(b bands) colour.LinearRGB {
	v := s.toRGB.Apply(b)
	return colour.LinearRGB{R: v[0], G: v[1], B: v[2]}
}

func (s space) lab(b bands) colour.Lab {
	v := s.toXYZ.Apply(b)
	return colour.XYZToLab(colour.XYZ{X: v[0], Y: v[1], Z: v[2]}, s.white)
}

// lightness returns the L* of the bands.
func (s space) lightness(b bands) float64 {
	return colour.Lightness(s.toXYZ.Apply(b)[1])
}

// checked returns the bands of a colour, which must be a surface's: each above 0
// and at most 1 once the light from the surface itself is taken off.
func (s space) checked(what string, c colour.LinearRGB, surface Saunderson) (bands, error) {
	b := s.bands(c)
	for _, r := range b {
		if !(surface.Internal(r) > 0 && r <= 1) {
			return b, fmt.Errorf("%w: %s has linear RGB %.4f %.4f %.4f", ErrReflectance, what, c.R, c.G, c.B)
		}
	}
	return b, nil
}

// line is the way from bare hide through a dye: K/S grows by dye for each unit
// of strength.
type line struct {
	hide, dye bands // K/S
	surface   Saunderson
}

func newLine(hide, reference bands, surface Saunderson) line {
	l := line{surface: surface}
	for i := range hide {
		l.hide[i] = KS(surface.Internal(hide[i]))
		l.dye[i] = KS(surface.Internal(reference[i])) - l.hide[i]
	}
	return l
}

// at returns the reflectance at a strength. A band that brightens, as one can by
// noise or a camera's matrix, stops at white.
func (l line) at(strength float64) bands {
	var out bands
	for i := range out {
		out[i] = l.surface.Measured(Reflectance(max(0, l.hide[i]+strength*l.dye[i])))
	}
	return out
}

// mostStrength bounds what is looked for along a line: no bottle is 64 times as
// strong as its reference, and a dab that dark tells nothing.
const mostStrength = 64

// withLightness returns the strength, 0 to mostStrength, at which the line has
// the given L*, or the end that comes nearest to it.
func (l line) withLightness(s space, lightness float64) float64 {
	lo, hi := 0.0, float64(mostStrength)
	for range 60 { // to the last digit
		if mid := (lo + hi) / 2; s.lightness(l.at(mid)) > lightness {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
