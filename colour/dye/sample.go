package dye

import (
	"cmp"
	"fmt"
	"math"

	"evenhide/colour"
)

// Sample is a colour as read, with what is not known about it.
type Sample struct {
	RGB colour.LinearRGB // working space, 1,1,1 a perfect white
	// Cov is the covariance of R, G, B that this reading shares with no other.
	Cov colour.Matrix
	// Shared holds, for each source of error that the readings of a photo have in
	// common, how far this one moves for one standard uncertainty of it. Readings
	// that share sources list them in the same order.
	Shared []colour.LinearRGB
	Places int     // of the hide that this is the mean of; 0 is one
	Lit    float64 // how bright the light on it was, over that where a veil is told; 0 is alike
}

// lit returns how bright the light was. A veil lies alike over all of a photo, and so
// counts for the more in what light is taken for, the less of that there was.
func (s Sample) lit() float64 { return cmp.Or(s.Lit, 1) }

func (s Sample) places() float64 { return float64(max(s.Places, 1)) }

// FromLab returns the sample of a reading given in CIELAB (D65, 2°) with its
// covariance and shared shifts there, carried over to first order.
func FromLab(lab colour.Lab, cov colour.Matrix, shared []colour.Lab) Sample {
	rgb := func(c colour.Lab) [3]float64 {
		v := colour.WorkingSpace().RGB(colour.LabToXYZ(c, colour.D65()))
		return [3]float64{v.R, v.G, v.B}
	}
	const h = 1e-3 // of a unit of Lab: far above rounding, far below any bend
	var j colour.Matrix
	for k, d := range []colour.Lab{{L: h}, {A: h}, {B: h}} {
		hi := rgb(colour.Lab{L: lab.L + d.L, A: lab.A + d.A, B: lab.B + d.B})
		lo := rgb(colour.Lab{L: lab.L - d.L, A: lab.A - d.A, B: lab.B - d.B})
		for i := range j {
			j[i][k] = (hi[i] - lo[i]) / (2 * h)
		}
	}
	v := rgb(lab)
	out := Sample{RGB: colour.LinearRGB{R: v[0], G: v[1], B: v[2]}, Cov: j.Carry(cov)}
	for _, s := range shared {
		d := j.Apply([3]float64{s.L, s.A, s.B})
		out.Shared = append(out.Shared, colour.LinearRGB{R: d[0], G: d[1], B: d[2]})
	}
	return out
}

// reading is a sample in bands.
type reading struct {
	r      bands
	cov    colour.Matrix
	shared []bands
}

// reading returns a sample in bands without the veil, with the floor added to its
// uncertainty.
func (s space) reading(what string, in Sample, opt Options) (reading, error) {
	b, err := s.checked(what, in.RGB, opt.Surface)
	for i := range b {
		b[i] -= min(opt.Veil/in.lit(), b[i]/2)
	}
	out := reading{r: b, cov: s.toBands.Carry(in.Cov)}
	for i := range out.cov {
		if v := out.cov[i][i]; err == nil && !(v >= 0 && !math.IsInf(v, 0)) {
			err = fmt.Errorf("%w: %s has variance %g", ErrReflectance, what, v)
		}
		out.cov[i][i] += opt.Floor * opt.Floor
	}
	for _, d := range in.Shared {
		out.shared = append(out.shared, s.bands(d))
	}
	return out, err
}
