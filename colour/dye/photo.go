package dye

import (
	"math"

	"evenhide/colour"
)

// What readings of one photo share beyond what they say of it: none of it shows on the
// card, as it lies over the card's greys too or is taken for their colour. The widths are
// those of rendered photos' readings against the truth.
const (
	// lensVeil is what a lens lays over a photo of a white sheet, as a share of white in
	// the light on the card, and veilSD by how much that may differ.
	lensVeil, veilSD = .005, .003
	// paperSD is by what share the greys, which are taken for neutral, are off in each
	// channel: a paper with a b* of 2 reflects 2 % less blue than one with none.
	paperSD = .015
	// curveSD is by what share more a channel's tone curve is off, e times as bright.
	curveSD = .008
)

// Clear returns the colour that a reading is of, without the veil.
func (r Reading) Clear() colour.Lab {
	if r.Lit == 0 {
		return r.Lab
	}
	rgb := FromLab(r.Lab, colour.Matrix{}, nil).RGB
	return labOfRGB(lifted(rgb, -lensVeil/r.Lit))
}

// inPhoto returns the reading without the veil, and with all that it shares.
func (r Reading) inPhoto() Reading {
	r.Lab = r.Clear()
	if r.Lit == 0 || r.Shared == nil {
		return r
	}
	rgb := FromLab(r.Lab, colour.Matrix{}, nil).RGB
	shared := append([]colour.Lab(nil), r.Shared...)
	add := func(moved colour.LinearRGB) {
		c := labOfRGB(moved)
		shared = append(shared, colour.Lab{L: c.L - r.Lab.L, A: c.A - r.Lab.A, B: c.B - r.Lab.B})
	}
	add(lifted(rgb, veilSD/r.Lit))
	for _, channel := range []func(*colour.LinearRGB) *float64{
		func(c *colour.LinearRGB) *float64 { return &c.R },
		func(c *colour.LinearRGB) *float64 { return &c.G },
		func(c *colour.LinearRGB) *float64 { return &c.B },
	} {
		const grey, dark = .2, .005 // reflectances: of a middle grey, and the least that a curve tells
		v := *channel(&rgb)
		for _, share := range []float64{paperSD, curveSD * math.Log(max(v, dark)/grey)} {
			moved := rgb
			*channel(&moved) += share * v
			add(moved)
		}
	}
	r.Shared = shared
	return r
}

// lifted returns a colour with so much more of each channel, or at most half of it less.
func lifted(c colour.LinearRGB, by float64) colour.LinearRGB {
	for _, v := range []*float64{&c.R, &c.G, &c.B} {
		*v += max(by, -math.Abs(*v)/2)
	}
	return c
}

func labOfRGB(c colour.LinearRGB) colour.Lab {
	return colour.XYZToLab(colour.WorkingSpace().XYZ(c), colour.D65())
}

// inPhoto returns the view with all its readings so.
func (v View) inPhoto() View {
	v.Hide = v.Hide.inPhoto()
	if v.Target != nil {
		target := v.Target.inPhoto()
		v.Target = &target
	}
	dabs := make([]Dab, len(v.Dabs))
	for i, d := range v.Dabs {
		d.Reading = d.Reading.inPhoto()
		dabs[i] = d
	}
	v.Dabs = dabs
	return v
}
