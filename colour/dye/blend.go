package dye

import (
	"errors"
	"fmt"

	"evenhide/colour"
)

var (
	// ErrSameDye: one dye given twice, by name or by colour.
	ErrSameDye = errors.New("the same dye twice")
	// ErrParts: a blend without parts, or with a part below 1.
	ErrParts = errors.New("not a blend")
)

const (
	// MostParts is the most whole parts of a blend, water included: a dozen is
	// what a maker counts out (common practice, no source).
	MostParts = 12
	// MostBottles is how many bottles Propose looks through.
	MostBottles = 24
	// mostDyes is the most dyes in one blend; three bands tell no more apart.
	mostDyes = 3
)

// Bottle is a dye by the colour that it gives the hide undiluted.
type Bottle struct {
	Name string
	RGB  colour.LinearRGB // working space, 1,1,1 a perfect white
}

// Part is a dye of a blend and its whole parts.
type Part struct {
	Name string
	N    int
}

// Proposal is a blend in whole parts, and what it is predicted to give.
type Proposal struct {
	Parts     []Part
	Water     int        // parts
	Predicted colour.Lab // D65, 2°
	DE        float64    // ΔE00 of Predicted from the target
	Words     colour.Words
}

// palette is a hide and bottles in K/S.
type palette struct {
	space
	hide    bands
	bottles []Bottle
	dyes    []bands // what each adds
}

func newPalette(hide colour.LinearRGB, bottles []Bottle) (*palette, error) {
	p := &palette{space: newSpace(), bottles: bottles}
	if len(bottles) == 0 || len(bottles) > MostBottles {
		return nil, fmt.Errorf("%w: %d bottles, 1 to %d wanted", ErrParts, len(bottles), MostBottles)
	}
	h, err := p.checked("the hide", hide, Saunderson{})
	if err != nil {
		return nil, err
	}
	for i, b := range bottles {
		r, err := p.checked(b.Name, b.RGB, Saunderson{})
		if err != nil {
			return nil, err
		}
		if p.lightness(r) >= p.lightness(h) {
			return nil, fmt.Errorf("%w: %s", ErrReference, b.Name)
		}
		for _, other := range bottles[:i] {
			if other.Name == b.Name || other.RGB == b.RGB {
				return nil, fmt.Errorf("%w: %s and %s", ErrSameDye, other.Name, b.Name)
			}
		}
		l := newLine(h, r, Saunderson{})
		p.hide = l.hide
		p.dyes = append(p.dyes, l.dye)
	}
	return p, nil
}

// at returns the colour of the bottles in the given amounts, as fractions.
func (p *palette) at(amount func(i int) float64, which []int) colour.Lab {
	l := line{hide: p.hide}
	for _, i := range which {
		a := amount(i)
		for k := range l.dye {
			l.dye[k] += a * p.dyes[i][k]
		}
	}
	return p.lab(l.at(1))
}

// Mix returns the colour, in CIELAB (D65, 2°), that a blend of whole parts gives
// the hide: each bottle's share of the parts, water among them, of what it adds
// to K/S undiluted. parts has one number for each bottle, 0 for none of it.
//
// The error is ErrParts for a number below 0 and for no dye at all, ErrSameDye,
// ErrReference for a bottle that does not darken the hide, or ErrReflectance.
func Mix(hide colour.LinearRGB, bottles []Bottle, parts []int, water int) (colour.Lab, error) {
	p, err := newPalette(hide, bottles)
	if err != nil {
		return colour.Lab{}, err
	}
	if len(parts) != len(bottles) || water < 0 {
		return colour.Lab{}, fmt.Errorf("%w: %d numbers for %d bottles, %d water", ErrParts, len(parts), len(bottles), water)
	}
	total, which := float64(water), []int(nil)
	for i, n := range parts {
		if n < 0 {
			return colour.Lab{}, fmt.Errorf("%w: %d parts of %s", ErrParts, n, bottles[i].Name)
		}
		if n > 0 {
			total += float64(n)
			which = append(which, i)
		}
	}
	if which == nil {
		return colour.Lab{}, fmt.Errorf("%w: no part of any dye", ErrParts)
	}
	return p.at(func(i int) float64 { return float64(parts[i]) / total }, which), nil
}
