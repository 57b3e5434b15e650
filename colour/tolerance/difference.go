package tolerance

import (
	"math"

	"evenhide/colour"
)

// Estimate is a measured colour with what is not known about it.
type Estimate struct {
	Lab colour.Lab
	// Cov is the covariance of L*, a*, b* that this reading shares with no
	// other: the scatter of its own patches.
	Cov colour.Matrix
	// Shared holds, for each source of error that all readings of a photo have
	// in common (a grey step that is off, say), how far this reading moves when
	// the source moves by one standard uncertainty. Readings that share sources
	// list them in the same order; what moves both alike cancels in their
	// difference.
	Shared []colour.Lab
	// Lit is how bright the light on it was, over that on the card; 0 is not known.
	Lit float64
}

// Difference is a CIEDE2000 difference, sample less reference, and how far it
// can be trusted.
type Difference struct {
	colour.Split2000
	// DE is ΔE00 between the two mean colours.
	DE float64
	// U is the expanded uncertainty of DE: half the width of Interval.
	U float64
	// Interval holds the true ΔE00 with 95 % probability. It never goes below 0.
	Interval [2]float64
}

// Model is what the scatter of readings cannot show: a camera does not see as the
// eye does. Its errors grow with the difference.
type Model struct {
	// Floor is the standard uncertainty of ΔE00 between like colours, and Share
	// what is added to it, in quadrature, for each unit of the difference.
	Floor, Share float64
}

// Between returns the CIEDE2000 difference of a sample from its reference with
// its uncertainty: propagated to first order, correlations kept (JCGM 100:2008,
// 5.2), into the three parts whose length is ΔE00, and from there to the length
// itself, without taking it for normal: near 0 it is not, because noise alone
// makes two equal colours differ.
func Between(ref, sample Estimate, w colour.Weights, m Model) Difference {
	split := colour.Difference2000(ref.Lab, sample.Lab, w)
	byRef := jacobian(ref.Lab, func(c colour.Lab) vector { return parts(colour.Difference2000(c, sample.Lab, w)) })
	bySample := jacobian(sample.Lab, func(c colour.Lab) vector { return parts(colour.Difference2000(ref.Lab, c, w)) })

	cov := byRef.Carry(ref.Cov).Add(bySample.Carry(sample.Cov))
	for k := range max(len(ref.Shared), len(sample.Shared)) {
		moved := vector{}
		for _, side := range []struct {
			by     colour.Matrix
			shifts []colour.Lab
		}{{byRef, ref.Shared}, {bySample, sample.Shared}} {
			if k < len(side.shifts) {
				s := side.shifts[k]
				d := side.by.Apply(vector{s.L, s.A, s.B})
				moved = vector{moved[0] + d[0], moved[1] + d[1], moved[2] + d[2]}
			}
		}
		cov = cov.Add(colour.Outer(moved))
	}
	de := split.DeltaE()
	each := m.Floor*m.Floor + m.Share*m.Share*de*de
	cov = cov.Add(colour.Diagonal(each, each, each))
	lo, hi := lengthInterval(parts(split), cov)
	return Difference{Split2000: split, DE: de, U: (hi - lo) / 2, Interval: [2]float64{lo, hi}}
}

type vector = [3]float64

// parts returns three numbers whose squares sum to ΔE00² exactly: lightness, and
// chroma and hue turned so that the rotation term RT leaves no product.
func parts(s colour.Split2000) vector {
	l, c, h := s.VL, s.VC, s.VH
	return vector{l, c + s.RT/2*h, h * math.Sqrt(max(0, 1-s.RT*s.RT/4))}
}

// jacobian returns the derivatives of f by L*, a*, b* at c.
func jacobian(c colour.Lab, f func(colour.Lab) vector) colour.Matrix {
	const h = 1e-3 // far above rounding, far below any difference that matters
	var j colour.Matrix
	for k, d := range []colour.Lab{{L: h}, {A: h}, {B: h}} {
		hi := f(colour.Lab{L: c.L + d.L, A: c.A + d.A, B: c.B + d.B})
		lo := f(colour.Lab{L: c.L - d.L, A: c.A - d.A, B: c.B - d.B})
		for i := range j {
			j[i][k] = (hi[i] - lo[i]) / (2 * h)
		}
	}
	return j
}
