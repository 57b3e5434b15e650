package dye

import (
	"fmt"

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
	// Model turns the two model terms on: what three bands and the proportion of
	// Kubelka-Munk leave unexplained.
	Model bool
	// Bend is by how much the power by which a dye's K/S grows with its concentration
	// may differ from 1 (standard uncertainty). It belongs to the model.
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
// their readings have in common is taken for common, and the hide for a little
// uneven. Floor and Hide are set by rendered dabs: more of Hide takes a bottle off in
// shade for one on other hide, less takes other hide for another shade. The bend is
// that of powers between 0.85 and 1, as is supposed of dyes (our own choice).
func DabOptions() Options {
	o := DefaultOptions()
	o.Floor, o.Offset, o.Hide, o.Bend = .0003, .002, .07, .087
	return o
}

// check refuses options that mean nothing.
func (o Options) check() error {
	for _, u := range []float64{o.Floor, o.Offset, o.Hide, o.Bend} {
		if !(u >= 0 && u < 1) {
			return fmt.Errorf("%w: floor %g, offset %g, hide %g, bend %g", ErrReflectance, o.Floor, o.Offset, o.Hide, o.Bend)
		}
	}
	if !o.Surface.valid() {
		return fmt.Errorf("%w: surface %+v", ErrReflectance, o.Surface)
	}
	return nil
}
