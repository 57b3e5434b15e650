package check

import (
	"math"

	"evenhide/calibrate"
	"evenhide/colour"
	"evenhide/colour/dye"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// bottleDabs are the dabs of one bottle, and their mean, or why there is none.
type bottleDabs struct {
	dabs  []piece
	seen  tolerance.Estimate
	all   []tolerance.Estimate // of which that is the mean
	apart float64              // ΔE00 by which some two of them differ at least, on whatever hide
	err   error
}

func (l bottleDabs) sample() dye.Sample {
	s := sample(l.seen)
	s.Places = len(l.dabs)
	return s
}

// knownDabs is as many dabs as would tell what the patches of one do of how well it is known
// (our own choice: with 8 as many intervals of rendered dabs hold).
const knownDabs = 4.

// read measures the dabs of each bottle, and sets how their strength is read. Those that
// differ by more than limit, ΔE00, are not taken for alike.
func (t *dabTable) read(bottles [][]piece, limit float64) []bottleDabs {
	out := make([]bottleDabs, len(bottles))
	var seen []dye.Sample
	for i, dabs := range bottles {
		l := bottleDabs{dabs: dabs}
		all, err := t.estimates(dabs)
		if l.err = err; err == nil {
			known := knownDabs
			if t.apart(all) > limit { // they may not be of one bottle: how far they spread is all that tells
				known = 0
			}
			l.all, l.seen = all, mean(all, known)
			seen = append(seen, l.sample())
		}
		out[i] = l
	}
	t.options = t.besideSwatch(t.hide, t.ref, seen)
	for i := range out {
		out[i].apart = t.apart(t.onHide(out[i].all))
	}
	return out
}

// onHide returns readings of dabs as badly known as the hide under each leaves them, which
// differs from place to place as the dabs of the photo show it.
func (t *dabTable) onHide(all []tolerance.Estimate) (out []tolerance.Estimate) {
	hide := sample(t.hide).RGB
	for _, e := range all {
		seen := sample(e).RGB
		on := func(by float64) colour.Lab { // hide with so many times the K/S
			band := func(seen, hide float64) float64 {
				return dye.Reflectance(max(0, dye.KS(seen)+(by-1)*dye.KS(hide)))
			}
			return colour.XYZToLab(colour.WorkingSpace().XYZ(colour.LinearRGB{R: band(seen.R, hide.R), G: band(seen.G, hide.G), B: band(seen.B, hide.B)}), colour.D65())
		}
		less, more := on(math.Exp(-t.options.Hide)), on(math.Exp(t.options.Hide))
		e.Cov = e.Cov.Add(colour.Outer([3]float64{(more.L - less.L) / 2, (more.A - less.A) / 2, (more.B - less.B) / 2}))
		out = append(out, e)
	}
	return out
}

// estimates measures the dabs of one bottle.
func (t *dabTable) estimates(dabs []piece) (all []tolerance.Estimate, err error) {
	for _, d := range dabs {
		r, err := t.dab(d)
		if err != nil {
			return nil, err
		}
		all = append(all, t.lit(patchy(t.estimate(d, r)), t.ref.from, r))
	}
	return all, nil
}

// patchy returns a reading of a dab as badly known as it is. Its covariance takes each patch
// for a place of its own, but dye lies in clouds larger than a patch: of 934 rendered dabs
// that were up to a fifth stronger or weaker the errors had three times that variance.
func patchy(e tolerance.Estimate) tolerance.Estimate {
	const alike = 3 // patches
	e.Cov = e.Cov.Scale(alike)
	return e
}

// lit adds what the light on a dab may be wrong by against that at from. Much of what the
// light misses on the sheet is shadow between the dabs, and none of that lies on them: the
// same dabs' errors had .4 of the variance.
func (t *dabTable) lit(e tolerance.Estimate, from []calibrate.From, r surface.Reading) tolerance.Estimate {
	const onDabs = .4
	e.Cov = e.Cov.Add(t.cal.LightCov(from, r.X, r.Y, r.Mean).Scale(onDabs))
	return e
}

// apart returns the ΔE00 by which the two dabs that differ most do so at least.
func (t *dabTable) apart(all []tolerance.Estimate) (most float64) {
	for i, a := range all {
		for _, b := range all[:i] {
			most = max(most, tolerance.Between(a, b, t.rq.Weights, tolerance.InFrame()).Interval[0])
		}
	}
	return most
}

// mean returns the mean of dabs of one dye. How far two or three of them spread tells little
// of how well their mean is known: it counts for their number less one, and what each is
// known to for as much as known dabs.
func mean(all []tolerance.Estimate, known float64) tolerance.Estimate {
	n := float64(len(all))
	mean := tolerance.Estimate{Shared: make([]colour.Lab, len(all[0].Shared))}
	add := func(to *colour.Lab, c colour.Lab) {
		*to = colour.Lab{L: to.L + c.L/n, A: to.A + c.A/n, B: to.B + c.B/n}
	}
	for _, e := range all {
		add(&mean.Lab, e.Lab)
		for i, s := range e.Shared {
			add(&mean.Shared[i], s)
		}
		mean.Lit += e.Lit / n
		mean.Cov = mean.Cov.Add(e.Cov.Scale(known / n))
	}
	for _, e := range all {
		mean.Cov = mean.Cov.Add(colour.Outer([3]float64{e.Lab.L - mean.Lab.L, e.Lab.A - mean.Lab.A, e.Lab.B - mean.Lab.B}))
	}
	mean.Cov = mean.Cov.Scale(1 / (n * (known + n - 1)))
	return mean
}
