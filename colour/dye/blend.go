package dye

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"evenhide/colour"
)

var (
	// ErrSameDye: one dye given twice, by name or by colour.
	ErrSameDye = errors.New("the same dye twice")
	// ErrTogether: dabs that cannot be of the dyes that they are said to be of.
	ErrTogether = errors.New("the dabs do not go together")
	// ErrParts: a blend without parts, or with a part below 0.
	ErrParts = errors.New("not a blend")
)

// MostBottles is how many bottles a palette has.
const MostBottles = 24

// Palette is the bottles that can be mixed, and the hide that is to be dyed.
type Palette struct {
	eye
	lens lens
	// Misnamed are the numbers of the views whose mixes look to be mixed otherwise than they
	// are said to be.
	Misnamed []int
	names    []string
	known    guess // of the exponent that all dyes share, of each dye, and what *look says
	at       []int // where each dye lies in known
	loads    []float64
	look     *look // the view whose hide and target are mixed for

	// What is most probable.
	hide  spectrum
	plain []spectrum // K/S that each adds undiluted
	laws  []float64  // exponents
}

// NewPalette works out what each bottle adds to the K/S of hide from what was read.
// The first view's hide is dyed, and its target, where it has one, is what Predictions
// are held against.
//
// The error is ErrParts for no bottles, over MostBottles, one without a dab of it alone, or
// a dab of a bottle that there is not, of a part below 0, or of parts that add up to 0 or to
// over 1; ErrSameDye for a name given twice and for two dyes that cannot be told apart by
// colour; ErrReference for a dye whose strongest dab is as pale as its hide; ErrReflectance
// for a colour that no dye gives hide; or ErrTogether.
func NewPalette(names []string, views []View) (*Palette, error) {
	if err := check(names, views); err != nil {
		return nil, err
	}
	p := &Palette{eye: newEye(), known: even(1, usualLaw, commonSD)}
	p.lens = newLens(&p.eye)
	for _, name := range names {
		p.add(name, p.known.with(anyDye()), 1)
	}
	for i := len(views) - 1; i >= 0; i-- {
		l, err := p.fold(views[i], i == 0)
		if err == nil && l.misnamed {
			p.Misnamed = append(p.Misnamed, i)
		}
		if err != nil {
			var misfit *Misfit
			if errors.As(err, &misfit) {
				misfit.View = i
			}
			return nil, err
		}
	}
	return p, nil
}

// add adds a dye, the last in known; load is how much of what it is poured from is dye.
func (p *Palette) add(name string, known guess, load float64) {
	p.names, p.loads = append(p.names, name), append(p.loads, load)
	p.at, p.known = append(p.at, len(known.mean)-samples-1), known
}

// refresh works out what is most probable.
func (p *Palette) refresh() {
	p.plain, p.laws = p.dyes(p.known.mean)
	if p.look != nil {
		p.hide = spectrum{}
		p.look.onHide(&p.hide, p.known.mean, -1)
	}
}

// dyes returns what each dye adds to K/S undiluted, and its exponent.
func (p *Palette) dyes(x []float64) (plain []spectrum, laws []float64) {
	plain, laws = make([]spectrum, len(p.at)), make([]float64, len(p.at))
	for i, at := range p.at {
		for k := range plain[i] {
			plain[i][k] = math.Exp(x[at+k])
		}
		laws[i] = math.Exp(x[0] + x[at+samples])
	}
	return plain, laws
}

// leastApart is the ΔE00 below which two readings may be of one colour.
const leastApart = 1

func check(names []string, views []View) error {
	if len(names) == 0 || len(names) > MostBottles {
		return fmt.Errorf("%w: %d bottles, 1 to %d wanted", ErrParts, len(names), MostBottles)
	}
	for i, name := range names {
		if slices.Contains(names[:i], name) {
			return fmt.Errorf("%w: %s", ErrSameDye, name)
		}
	}
	first := make([]*Dab, len(names)) // of each alone
	for _, v := range views {
		for k := range v.Dabs {
			d := &v.Dabs[k]
			if err := v.check(d, names); err != nil {
				return err
			}
			if i, _ := d.bottle(); i >= 0 && first[i] == nil {
				first[i] = d
			}
		}
	}
	for i, d := range first {
		if d == nil {
			return fmt.Errorf("%w: no dab of %s alone", ErrParts, names[i])
		}
		_, part := d.bottle()
		for k, o := range first[:i] {
			if _, other := o.bottle(); other == part && colour.DeltaE2000(o.Lab, d.Lab, colour.UnitWeights()) < leastApart {
				return fmt.Errorf("%w: %s and %s", ErrSameDye, names[k], names[i])
			}
		}
	}
	return nil
}

// check refuses a dab of what there is not, a dye whose strongest dab tells nothing of it,
// and readings that share more with each other than with the hide.
func (v *View) check(d *Dab, names []string) error {
	sum := 0.0
	for _, a := range d.Amounts {
		sum += a
		if !(a >= 0) {
			sum = math.NaN()
		}
	}
	const over = 1e-9 // of a sum of thirds
	if len(d.Amounts) > len(names) || !(sum > 0 && sum <= 1+over) {
		return fmt.Errorf("%w: a dab of %v in one, of %d bottles", ErrParts, d.Amounts, len(names))
	}
	for _, r := range v.readings() {
		if len(r.Shared) > len(v.Hide.Shared) {
			return fmt.Errorf("%w: a reading has %d shared sources of error, the hide %d", ErrTogether, len(r.Shared), len(v.Hide.Shared))
		}
	}
	i, part := d.bottle()
	thinned := slices.ContainsFunc(v.Dabs, func(o Dab) bool {
		of, more := o.bottle()
		return of == i && more > part
	})
	if i >= 0 && !thinned && (d.Lab.L >= v.Hide.Lab.L || colour.DeltaE2000(v.Hide.Lab, d.Lab, colour.UnitWeights()) < leastApart) {
		return fmt.Errorf("%w: %s", ErrReference, names[i])
	}
	return nil
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
			return nil, fmt.Errorf("%w: %g parts of %s", ErrParts, n, p.names[i])
		}
		dye += n
	}
	total := dye + water
	if len(parts) != len(p.names) || !(water >= 0) || !(dye > 0) || math.IsInf(total, 0) {
		return nil, fmt.Errorf("%w: %v of %d bottles, %g of water", ErrParts, parts, len(p.names), water)
	}
	out := make([]float64, len(parts))
	for i, n := range parts {
		out[i] = n / total
	}
	return out, nil
}

// added returns the K/S that a blend adds: K/S adds, and all dye in it together grows
// by the mean exponent of what is in it.
func (p *Palette) added(plain []spectrum, laws, amounts []float64) (ks spectrum) {
	dye, law := 0.0, 0.0
	for i, a := range amounts {
		dye += a * p.loads[i]
		law += a * p.loads[i] * laws[i]
	}
	if dye == 0 {
		return ks
	}
	gain := math.Pow(dye, law/dye-1)
	for i, a := range amounts {
		if a > 0 {
			for k, v := range plain[i] {
				ks[k] += gain * a * v
			}
		}
	}
	return ks
}

// blended returns the K/S of a blend on the hide.
func (p *Palette) blended(amounts []float64) spectrum {
	ks := p.added(p.plain, p.laws, amounts)
	for k, v := range p.hide {
		ks[k] += v
	}
	return ks
}

func (p *Palette) colour(amounts []float64) colour.Lab {
	ks := p.blended(amounts)
	return p.lab(&ks)
}
