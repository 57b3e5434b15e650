package dye

import (
	"fmt"
	"math"

	"evenhide/colour"
)

// Options say how strength is read.
type Options struct {
	// Floor is the standard uncertainty, in linear reflectance, that each band of
	// each colour has beyond its own Cov and Shared: what calibrating and
	// flattening the light leave behind.
	Floor float64
	// Offset is the same for what all three readings have in common, as readings of
	// one photo have: a veil over it that was taken off too much or too little.
	Offset float64
	// Hide is by how much the bare hide differs from one reading's place to the
	// next's: the standard deviation of the logarithm of its K/S. The bands in which
	// hide counts for more than dye then count for less, and a shade that such hide
	// gives is not laid to the dye.
	Hide float64
	// ShadeHide is how much of that is believed where the shade left is told: the more,
	// the sooner a dye that is off passes for another hide.
	ShadeHide float64
	// Veil is what is taken off each band of each colour, but at most half of it: the
	// veil over the photo that its calibration is known to leave, in the light on the
	// card. Where a Sample was Lit less it counts for more.
	Veil float64
	// Power is that by which a dye's K/S is expected to grow with its concentration,
	// above 0; 0 stands for 1. Strength is concentration.
	Power float64
	// Model turns the two model terms on: what three bands and the proportion of
	// Kubelka-Munk leave unexplained.
	Model bool
	// Bend is by how much the power may differ from that (standard uncertainty). It
	// belongs to the model.
	Bend    float64
	Surface Saunderson
	Weights colour.Weights // of the shade difference
}

// DefaultOptions returns a floor of 0.002, which is what the darkest step of a
// good grey ramp is missed by; the model terms; no surface correction, since a
// camera from above with light from the side sees none; and unit weights.
func DefaultOptions() Options {
	return Options{Floor: 0.002, Model: true, Weights: colour.UnitWeights()}
}

// DabOptions returns the options for dabs that lie side by side in one photo: what
// their readings have in common is taken for common. Floor, Offset and ShadeHide are set
// by rendered dabs. Hide is 0: HideSpread tells it of the photo.
//
// Veil: a print that misses its greys by 2 L* cannot tell a veil of a per cent, and the
// calibration then assumes none, while a lens lays half a per cent or so over a photo of
// a white sheet; dark dabs come out that much too light. Power: three bands alone bring
// strength nearer to 1 by .024 of its distance (TestStrengthFromSpectra), and powers
// from 0.85 are supposed of some dyes (our own choice), 1 of most; the bend is that of
// the whole span.
func DabOptions() Options {
	o := DefaultOptions()
	o.Floor, o.Offset, o.Veil, o.ShadeHide = .0003, .002, .004, .07
	o.Power, o.Bend = .96, .087
	return o
}

// concentration returns the strength at which K/S has grown to so many times that of
// strength 1, and how fast it grows there.
func (o Options) concentration(ks float64) (strength, slope float64) {
	power := o.Power
	if power == 0 {
		power = 1
	}
	strength = math.Pow(ks, 1/power)
	return strength, strength / (power * ks)
}

// modelUncertainty returns what the model leaves open of a strength, however good the
// readings (standard uncertainties): what three bands do not see of the dye, and how far
// it may not go with its concentration. Each is alike for all dyeings of one dye.
func (o Options) modelUncertainty(strength float64) (threeBands, bend float64) {
	return modelShare * (strength - 1), o.Bend * strength * math.Log(max(strength, tiny))
}

// check refuses options that mean nothing.
func (o Options) check() error {
	for _, u := range []float64{o.Floor, o.Offset, o.Hide, o.ShadeHide, o.Veil, o.Bend} {
		if !(u >= 0 && u < 1) {
			return fmt.Errorf("%w: floor %g, offset %g, hide %g and %g, veil %g, bend %g", ErrReflectance, o.Floor, o.Offset, o.Hide, o.ShadeHide, o.Veil, o.Bend)
		}
	}
	if !(o.Power >= 0 && o.Power <= 2) {
		return fmt.Errorf("%w: power %g", ErrReflectance, o.Power)
	}
	if !o.Surface.valid() {
		return fmt.Errorf("%w: surface %+v", ErrReflectance, o.Surface)
	}
	return nil
}
