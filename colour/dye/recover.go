package dye

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"evenhide/colour"
)

// Three numbers do not tell a spectrum. But leather and dye have smooth ones, of
// broad bands, and among the smooth ones little is left open: ln K/S is taken for a
// Gaussian process over the wavelength, and the colours seen decide the rest. How
// far a mixture is then uncertain comes out of the same sum.
const (
	// dyeLength and hideLength are over how many nm ln K/S stays alike. The
	// pigments of a measured chart are predicted best with 80 for dyes, the invented
	// dyes of the scenes with 120.
	dyeLength, hideLength = 100.0, 120.0
	dyeSD, hideSD         = 1.5, 1.0 // of ln K/S from one end to the other
	levelSD               = 1.0      // of its mean
	hideLevel             = -1.0     // its mean for hide, about L* 70; for dyes it is 0
	// exponentSD is by how much the exponent may differ from 1 with which K/S grows with
	// concentration (our own choice, no source).
	exponentSD = .1
	// readingSD is what a reading is out by on each CIELAB axis against another of
	// the same photo, beyond its own scatter: a camera sees each dye a little otherwise
	// than the eye does. Set so that the ranges of rendered photos hold the truth.
	readingSD = .5
	// underSD is how far the hide differs from one place to the next, in the logarithm
	// of its K/S.
	underSD = .1
)

// smooth returns the covariance of ln K/S at each sample, with room for more
// unknowns.
func smooth(sd, length, level float64, more int) *mat.Dense {
	c := mat.NewDense(samples+more, samples+more, nil)
	for i := range samples {
		for j := range samples {
			d := 10 * float64(i-j) / length
			c.Set(i, j, sd*sd*math.Exp(-d*d/2)+level*level)
		}
	}
	return c
}

// guess is what is known of some numbers: their mean and covariance.
type guess struct {
	mean []float64
	cov  *mat.Dense
}

// sharpen returns the guess once f of the numbers has been seen, with noise: the
// most probable, by Gauss and Newton, and the covariance there.
func (g guess) sharpen(f func([]float64) []float64, seen []float64, noise *mat.Dense) guess {
	n, m := len(g.mean), len(seen)
	x := append([]float64(nil), g.mean...)
	var slope, gain mat.Dense
	for range 60 {
		now := f(x)
		slope = *derivative(f, x, now)
		var side, total mat.Dense
		side.Mul(g.cov, slope.T())
		total.Mul(&slope, &side)
		total.Add(&total, noise)
		rest := mat.NewVecDense(m, nil)
		for k := range m {
			v := seen[k] - now[k]
			for i := range n {
				v += slope.At(k, i) * (x[i] - g.mean[i])
			}
			rest.SetVec(k, v)
		}
		var inverse mat.Dense
		if err := inverse.Inverse(&total); err != nil && inverse.IsEmpty() {
			break // no noise and no slope: what is known stays
		}
		gain.Reset()
		gain.Mul(&side, &inverse)
		var step mat.VecDense
		step.MulVec(&gain, rest)
		most := 0.0
		for i := range x {
			most = max(most, math.Abs(g.mean[i]+step.AtVec(i)-x[i]))
		}
		const longest, done = 1.0, 1e-6 // of a logarithm: the bend of K/S allows no more at once
		for i := range x {
			x[i] += min(1, longest/most) * (g.mean[i] + step.AtVec(i) - x[i])
		}
		if most < done {
			break
		}
	}
	var share, known mat.Dense
	share.Mul(&gain, &slope)
	known.Mul(&share, g.cov)
	known.Sub(g.cov, &known)
	return guess{x, &known}
}

// derivative returns how f moves with each number.
func derivative(f func([]float64) []float64, x, now []float64) *mat.Dense {
	const h = 1e-4
	out := mat.NewDense(len(now), len(x), nil)
	for i := range x {
		was := x[i]
		x[i] += h
		for k, v := range f(x) {
			out.Set(k, i, (v-now[k])/h)
		}
		x[i] = was
	}
	return out
}

// Dab is a reading of a dye on hide, D65 and 2°.
type Dab struct {
	Part float64 // of dye in what it was laid from: 1 as it is in the bottle, the rest water
	Lab  colour.Lab
	Cov  colour.Matrix // of Lab: its own scatter
	Hide colour.Lab    // bare hide, read in the same photo
}

// Bottle is a dye and the dabs that tell of it, at least one. A second, let down with
// one and a half parts of water, tells most of what one leaves open.
type Bottle struct {
	Name string
	Dabs []Dab
}

// added is what a bottle adds to K/S: ln of it for the bottle as it is, and last the
// logarithm of the exponent with which it grows with concentration.
type added struct{ guess }

func (a added) law() float64 { return math.Exp(a.mean[samples]) }

// hideOf returns the K/S of bare hide.
func (e *eye) hideOf(c colour.Lab) (spectrum, error) {
	var ks spectrum
	f := func(x []float64) []float64 {
		for i, v := range x {
			ks[i] = math.Exp(v)
		}
		return triple(e.lab(&ks))
	}
	g := guess{make([]float64, samples), smooth(hideSD, hideLength, levelSD, 0)}
	for i := range g.mean {
		g.mean[i] = hideLevel
	}
	g = g.sharpen(f, triple(c), noise([]colour.Matrix{{}}))
	f(g.mean)
	return ks, reached("the hide", e.lab(&ks), c)
}

// anyDye is what is known of a dye before any dab of it.
func anyDye() guess {
	g := guess{make([]float64, samples+1), smooth(dyeSD, dyeLength, levelSD, 1)}
	g.cov.Set(samples, samples, exponentSD*exponentSD)
	return g
}

// dyeOf returns what the bottle adds to the hides that its dabs lie on; g is what is
// known of it before.
func (e *eye) dyeOf(b Bottle, g guess) (added, error) {
	hides := make([]spectrum, len(b.Dabs))
	for i, d := range b.Dabs {
		var err error
		if hides[i], err = e.hideOf(d.Hide); err != nil {
			return added{}, err
		}
	}
	var seen []float64
	covs := make([]colour.Matrix, len(b.Dabs))
	for i, d := range b.Dabs {
		seen, covs[i] = append(seen, triple(d.Lab)...), d.Cov
	}
	at := func(x []float64, i int, hide float64) colour.Lab {
		amount := math.Pow(b.Dabs[i].Part, math.Exp(x[samples]))
		var ks spectrum
		for k, v := range hides[i] {
			ks[k] = hide*v + amount*math.Exp(x[k])
		}
		return e.lab(&ks)
	}
	f := func(x []float64) (out []float64) {
		for i := range b.Dabs {
			out = append(out, triple(at(x, i, 1))...)
		}
		return out
	}
	about := g.sharpen(f, seen, noise(covs))
	for i := range covs { // once more, now that it is known how much the hide counts
		hi, lo := at(about.mean, i, 1+underSD), at(about.mean, i, 1-underSD)
		covs[i] = covs[i].Add(colour.Outer([3]float64{(hi.L - lo.L) / 2, (hi.A - lo.A) / 2, (hi.B - lo.B) / 2}))
	}
	g = g.sharpen(f, seen, noise(covs))
	for i, d := range b.Dabs {
		if err := reached(b.Name, at(g.mean, i, 1), d.Lab); err != nil {
			return added{}, err
		}
	}
	return added{g}, nil
}

// noise returns the covariance of several readings.
func noise(covs []colour.Matrix) *mat.Dense {
	out := mat.NewDense(3*len(covs), 3*len(covs), nil)
	for n, c := range covs {
		for i := range c {
			for j := range c {
				out.Set(3*n+i, 3*n+j, c[i][j])
			}
			out.Set(3*n+i, 3*n+i, c[i][i]+readingSD*readingSD)
		}
	}
	return out
}

// reached refuses a colour that no smooth spectrum comes close to.
func reached(what string, got, want colour.Lab) error {
	const far = 6 // ΔE*ab: noise and an uneven hide under a dab stay below
	if !(colour.DeltaE76(got, want) < far) {
		return fmt.Errorf("%w: %s has L* %.1f a* %.1f b* %.1f", ErrReflectance, what, want.L, want.A, want.B)
	}
	return nil
}

func triple(c colour.Lab) []float64 { return []float64{c.L, c.A, c.B} }
