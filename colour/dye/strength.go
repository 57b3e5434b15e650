package dye

import (
	"errors"
	"fmt"
	"math"
)

// Strength is how strong a dyeing is, 1 as strong as its reference, and what
// shade is left over.
type Strength struct {
	Value float64
	U     float64 // expanded uncertainty of Value, k = 2
	// Interval holds the true strength with about 95 %. It is even in lightness,
	// as the noise is, so in dark colours it reaches further up than down; it
	// never goes below 0, and ends where K/S has grown 64 times.
	Interval [2]float64
	// Readings and Model are the standard uncertainties that the three readings
	// and the law bring: (U/2)² is the sum of their squares.
	Readings, Model float64
	// ByLightness says that the reference is too dark for K/S, and that L* alone
	// decided.
	ByLightness bool
	Shade       Shade
}

const (
	// darkL is the reference's L* below which L* alone decides: luminance .02.
	// With the default floor K/S then comes out 2 % too strong for its bend, a
	// quarter of its scatter, and 7 % at luminance .01, where L* is 2 % out. Above
	// it the weighted bands scatter less than L* does, by a fifth to a quarter.
	darkL = 15.5
	// modelShare is by how much of its distance from 1 a strength from a camera's
	// three bands is out (standard uncertainty), however good the readings:
	// TestStrengthFromSpectra measures it. It does not hold what a dye may do
	// that adds less to K/S from each further part: a Ladder of dabs tells.
	modelShare = 0.035
	// chi95 is the 95 % point of chi-square for the three bands.
	chi95 = 7.815
)

// Relative returns the strength of sample against reference, both dyed on hide
// and read in the same light: in each band, what sample adds to the K/S of the
// hide over what reference adds, the bands weighted by how well each knows its
// K/S. Where the reference is darker than about L* 15 it is the strength at which
// the reference's own line from the hide reaches the sample's L*.
//
// The uncertainty is propagated to first order, correlations and shared sources
// kept (JCGM 100:2008, 5.2).
//
// The error is ErrReflectance for a colour that no surface has, in the wide
// bands: a channel of the working space may be slightly below 0; ErrReference
// when the reference cannot be told from the hide or is lighter; ErrBare when
// the sample's strength cannot be told from 0; ErrTooDark beyond strength 64, and
// where one over the reference's cannot.
func Relative(hide, reference, sample Sample, opt Options) (Strength, error) {
	p, err := newProblem(hide, reference, sample, opt)
	if err != nil {
		return Strength{}, err
	}
	best, cov := p.solve(p.in[0].r, p.in[1].r, p.in[2].r), p.covariance()
	out, slope, err := p.strength(best.strength, math.Sqrt(cov.strength))
	if errors.Is(err, ErrBare) && opt.Hide > evenHide { // of another dye: no other hide explains it
		opt.Hide = evenHide
		return Relative(hide, reference, sample, opt)
	}
	if err != nil {
		return Strength{}, err
	}
	out.Interval = p.interval(newLine(p.in[0].r, p.in[1].r, opt.Surface), best.strength, out.U/slope)
	for i, ks := range out.Interval {
		out.Interval[i], _ = opt.concentration(ks)
	}
	out.Shade, err = shadeLeft(hide, reference, sample, opt)
	return out, err
}

// strength returns the strength of K/S that has grown ks times, known to u, and how
// fast it grows with ks.
func (p *problem) strength(ks, u float64) (out Strength, slope float64, err error) {
	switch {
	case ks > 1 && ks <= 2*u && p.opt.Hide <= evenHide: // not pale, but where strength is all but flat
		return out, 0, fmt.Errorf("%w: %.1f ± %.1f of the reference's", ErrTooDark, ks, 2*u)
	case !(ks > 2*u):
		return out, 0, fmt.Errorf("%w: strength %.2f ± %.2f", ErrBare, ks, 2*u)
	case ks >= mostStrength*(1-1e-9):
		return out, 0, fmt.Errorf("%w: over %d times the reference", ErrTooDark, mostStrength)
	}
	out.ByLightness = p.dark
	out.Value, slope = p.opt.concentration(ks)
	out.Readings = u * slope
	if p.opt.Model {
		out.Model = math.Hypot(p.opt.modelUncertainty(out.Value))
	}
	out.U = 2 * math.Hypot(out.Readings, out.Model)
	return out, slope, nil
}

// shadeLeft returns the shade that is left, by what is believed of the hide for it.
func shadeLeft(hide, reference, sample Sample, opt Options) (Shade, error) {
	opt.Hide = opt.ShadeHide
	p, err := newProblem(hide, reference, sample, opt)
	if err != nil {
		return Shade{}, err
	}
	best := p.solve(p.in[0].r, p.in[1].r, p.in[2].r)
	l := newLine(p.in[0].r, p.in[1].r, opt.Surface)
	return p.shade(l.on(best.hide), max(best.strength, tiny), p.covariance().shade), nil
}

// Distinct returns why no strength can be told against reference on hide, as
// Relative would, or nil.
func Distinct(hide, reference Sample, opt Options) error {
	_, err := newProblem(hide, reference, reference, opt)
	return err
}

// problem is a strength to be found: hide, reference and sample in bands.
type problem struct {
	space
	opt     Options
	in      [3]reading
	weights weights
	dark    bool
}

func newProblem(hide, reference, sample Sample, opt Options) (*problem, error) {
	if err := opt.check(); err != nil {
		return nil, err
	}
	p := &problem{space: newSpace(), opt: opt}
	for i, s := range []struct {
		what string
		Sample
	}{{"the hide", hide}, {"the reference", reference}, {"the sample", sample}} {
		var err error
		if p.in[i], err = p.reading(s.what, s.Sample, opt); err != nil {
			return nil, err
		}
	}
	h, r := p.in[0], p.in[1]
	l := newLine(h.r, r.r, opt.Surface)
	chi2 := 0.0
	var noise bands
	for i := range l.dye {
		// Weighted as at strength 1, where the hide's error cancels: by the
		// reference alone, so that a darker sample never comes out weaker.
		slope, fromHide := p.slope(r.r[i]), p.slope(h.r[i])
		noise[i] = slope*slope*(r.cov[i][i]+p.in[2].cov[i][i]+2*opt.Offset*opt.Offset) + tiny
		chi2 += l.dye[i] * l.dye[i] / (slope*slope*r.cov[i][i] + fromHide*fromHide*h.cov[i][i] + tiny)
	}
	hideL, refL := p.lightness(h.r), p.lightness(r.r)
	if refL >= hideL || chi2 <= chi95 {
		return nil, fmt.Errorf("%w: L* %.1f against %.1f", ErrReference, refL, hideL)
	}
	p.dark = refL < darkL
	p.weights = newWeights(l.hide, noise, opt.Hide*opt.Hide*(1/reference.places()+1/sample.places()))
	p.vary(l.hide, [3]Sample{hide, reference, sample})
	return p, nil
}

// tiny keeps weights finite where a caller says that nothing is uncertain.
const tiny = 1e-12

// slope returns by how much K/S grows with measured reflectance r.
func (p *problem) slope(r float64) float64 {
	s := p.opt.Surface
	internal := s.Internal(r)
	bend := 1 - s.K1 - s.K2 + s.K2*r
	return (1 - 1/(internal*internal)) / 2 * (1 - s.K1) * (1 - s.K2) / (bend * bend)
}

// outcome is a strength, by what share the hide under the sample has more K/S, and
// by how much the sample's Lab differs from the reference's at that strength on that
// hide; or how far these move.
type outcome struct {
	strength, hide float64
	shade          [3]float64
}

// solve returns the outcome of three colours in bands.
func (p *problem) solve(hide, reference, sample bands) outcome {
	l := newLine(hide, reference, p.opt.Surface)
	var out outcome
	if p.dark {
		out.strength = l.withLightness(p.space, p.lightness(sample))
	} else {
		var added bands
		for i, r := range sample {
			added[i] = KS(p.opt.Surface.Internal(r)) - l.hide[i]
		}
		out.strength, out.hide = p.weights.solve(l.dye, added)
	}
	l = l.on(out.hide)
	predicted, seen := p.lab(l.at(out.strength)), p.lab(sample)
	out.shade = [3]float64{seen.L - predicted.L, seen.A - predicted.A, seen.B - predicted.B}
	return out
}
