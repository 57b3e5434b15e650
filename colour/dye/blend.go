package dye

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"evenhide/colour"
)

var (
	// ErrSameDye: one dye given twice, by name or by colour.
	ErrSameDye = errors.New("the same dye twice")
	// ErrParts: a blend without parts, or with a part below 0.
	ErrParts = errors.New("not a blend")
)

// MostBottles is how many bottles a palette has.
const MostBottles = 24

// Palette is bare hide and the bottles that can be mixed on it.
type Palette struct {
	eye
	bottles []Bottle
	hide    spectrum
	dyes    []added
	plain   []spectrum // K/S that each adds undiluted
	laws    []float64  // exponents
	loads   []float64  // how much of each is dye: all of a bottle
}

// NewPalette works out what each bottle adds to the K/S of hide from the colours of
// its dabs.
//
// The error is ErrParts for no bottles, over MostBottles, one without dabs, or a dab
// of a part outside 0 to 1; ErrSameDye for a name given twice and for two dyes that
// cannot be told apart by colour; ErrReference for a dab as pale as its hide; or
// ErrReflectance for a colour that no dye gives hide.
func NewPalette(hide colour.Lab, bottles []Bottle) (*Palette, error) {
	p := &Palette{eye: newEye(), bottles: bottles}
	if len(bottles) == 0 || len(bottles) > MostBottles {
		return nil, fmt.Errorf("%w: %d bottles, 1 to %d wanted", ErrParts, len(bottles), MostBottles)
	}
	var err error
	if p.hide, err = p.hideOf(hide); err != nil {
		return nil, err
	}
	for i, b := range bottles {
		if err := b.check(); err != nil {
			return nil, err
		}
		if err := b.unlike(bottles[:i]); err != nil {
			return nil, err
		}
		d, err := p.dyeOf(b, anyDye())
		if err != nil {
			return nil, err
		}
		p.add(d, 1)
	}
	return p, nil
}

// add adds a dye; load is how much of what it is poured from is dye.
func (p *Palette) add(d added, load float64) {
	var plain spectrum
	for k := range plain {
		plain[k] = math.Exp(d.mean[k])
	}
	p.dyes, p.plain, p.laws, p.loads = append(p.dyes, d), append(p.plain, plain), append(p.laws, d.law()), append(p.loads, load)
}

// leastApart is the ΔE00 below which two readings may be of one colour.
const leastApart = 1

func (b Bottle) check() error {
	if len(b.Dabs) == 0 {
		return fmt.Errorf("%w: no dab of %s", ErrParts, b.Name)
	}
	for _, d := range b.Dabs {
		if !(d.Part > 0 && d.Part <= 1) {
			return fmt.Errorf("%w: a dab of %s with %g parts of dye in one", ErrParts, b.Name, d.Part)
		}
		if d.Lab.L >= d.Hide.L || colour.DeltaE2000(d.Hide, d.Lab, colour.UnitWeights()) < leastApart {
			return fmt.Errorf("%w: %s", ErrReference, b.Name)
		}
	}
	return nil
}

// unlike refuses a bottle that is among others already.
func (b Bottle) unlike(others []Bottle) error {
	for _, o := range others {
		if o.Name == b.Name || o.Dabs[0].Part == b.Dabs[0].Part && colour.DeltaE2000(o.Dabs[0].Lab, b.Dabs[0].Lab, colour.UnitWeights()) < leastApart {
			return fmt.Errorf("%w: %s and %s", ErrSameDye, o.Name, b.Name)
		}
	}
	return nil
}

// Prediction is the colour that a blend is expected to give the hide.
type Prediction struct {
	Lab colour.Lab    // D65, 2°
	Cov colour.Matrix // what the dabs leave open of it
}

// Mix returns what a blend in parts gives: one number for each bottle, 0 for none
// of it, and the water. ErrParts.
func (p *Palette) Mix(parts []float64, water float64) (Prediction, error) {
	amounts, err := p.amounts(parts, water)
	if err != nil {
		return Prediction{}, err
	}
	return p.predict(amounts), nil
}

// amounts returns each bottle's share of a blend.
func (p *Palette) amounts(parts []float64, water float64) ([]float64, error) {
	dye := 0.0
	for i, n := range parts {
		if !(n >= 0) {
			return nil, fmt.Errorf("%w: %g parts of %s", ErrParts, n, p.bottles[i].Name)
		}
		dye += n
	}
	total := dye + water
	if len(parts) != len(p.bottles) || !(water >= 0) || !(dye > 0) || math.IsInf(total, 0) {
		return nil, fmt.Errorf("%w: %v of %d bottles, %g of water", ErrParts, parts, len(p.bottles), water)
	}
	out := make([]float64, len(parts))
	for i, n := range parts {
		out[i] = n / total
	}
	return out, nil
}

// blended returns the K/S of a blend on the hide: K/S adds, and all dye in it
// together grows by the mean exponent of what is in it.
func (p *Palette) blended(amounts []float64) spectrum {
	dye, law := 0.0, 0.0
	for i, a := range amounts {
		dye += a * p.loads[i]
		law += a * p.loads[i] * p.laws[i]
	}
	ks := p.hide
	if dye == 0 {
		return ks
	}
	gain := math.Pow(dye, law/dye-1)
	for i, a := range amounts {
		if a > 0 {
			for k, v := range p.plain[i] {
				ks[k] += gain * a * v
			}
		}
	}
	return ks
}

func (p *Palette) at(amounts []float64) colour.Lab {
	ks := p.blended(amounts)
	return p.lab(&ks)
}

// predict returns the colour of a blend with its uncertainty, propagated to first
// order from what is known of each dye, and of the hide under the blend, which is
// neither that in the hide window nor that under the target.
func (p *Palette) predict(amounts []float64) Prediction {
	out := Prediction{Lab: p.at(amounts)}
	const places = 2 // hides that differ
	hi, lo := p.onHide(1+underSD).at(amounts), p.onHide(1-underSD).at(amounts)
	out.Cov = colour.Outer([3]float64{(hi.L - lo.L) / 2, (hi.A - lo.A) / 2, (hi.B - lo.B) / 2}).Scale(places)
	for i, a := range amounts {
		if a == 0 {
			continue
		}
		one := *p
		one.plain, one.laws = append([]spectrum(nil), p.plain...), append([]float64(nil), p.laws...)
		f := func(x []float64) []float64 {
			for k := range one.plain[i] {
				one.plain[i][k] = math.Exp(x[k])
			}
			one.laws[i] = math.Exp(x[samples])
			return triple(one.at(amounts))
		}
		slope := derivative(f, append([]float64(nil), p.dyes[i].mean...), triple(out.Lab))
		var side, cov mat.Dense
		side.Mul(slope, p.dyes[i].cov)
		cov.Mul(&side, slope.T())
		for k := range out.Cov {
			for m := range out.Cov {
				out.Cov[k][m] += cov.At(k, m)
			}
		}
	}
	return out
}

// onHide returns the palette on hide with so many times the K/S.
func (p *Palette) onHide(times float64) *Palette {
	out := *p
	for k := range out.hide {
		out.hide[k] *= times
	}
	return &out
}
