package dye

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"evenhide/colour"
)

// Reading is a colour as it was read, D65 and 2°.
type Reading struct {
	Lab colour.Lab
	Cov colour.Matrix // of Lab: its own scatter
	// Shared holds, for each source of error that the readings of a view have in common,
	// how far this one moves for one standard uncertainty of it; nil where that was not kept.
	Shared []colour.Lab
	// Lit is how bright the light on it was, over that on the card of its photo; 0 for what
	// was not read from a photo.
	Lit float64
}

// Dab is a reading of dye on hide.
type Dab struct {
	Amounts []float64 // how much of what it was laid from is of each bottle of the palette; the rest is water
	Reading
}

// Pure returns the amounts of a dab of one bottle, so much of it and the rest water.
func Pure(bottle int, part float64) []float64 {
	out := make([]float64, bottle+1)
	out[bottle] = part
	return out
}

// bottle returns which the dab is of, and how much of it that is; -1 for a mix.
func (d *Dab) bottle() (i int, part float64) {
	i = -1
	for k, a := range d.Amounts {
		switch {
		case a > 0 && i >= 0:
			return -1, 0
		case a > 0:
			i, part = k, a
		}
	}
	return i, part
}

// View is what was read together, by one camera in one light.
type View struct {
	Hide   Reading
	Target *Reading // a swatch of the colour that is wanted; nil for none
	// Same says that it is the swatch of the view whose hide and target are mixed for, on
	// the hide that it was on there.
	Same bool
	Dabs []Dab
}

// look is a view, and where what it alone knows lies among what is known.
type look struct {
	View
	hide, shared, camera int
	under                []int   // of each reading
	last                 int     // the first after camera's
	mixed                bool    // the target is a mix of the dyes, or else any dye
	bottles              int     // that there were
	target               int     // the logarithms of its amounts of each, or of its K/S
	pours                []pour  // of each dab
	likely               float64 // it was to see that, as sharpen tells
	misnamed             bool    // what its mixes are mixed from rather is not what is said
	moves                []int
}

// readings returns hide, target and dabs.
func (v *View) readings() []Reading {
	out := []Reading{v.Hide}
	if v.Target != nil {
		out = append(out, *v.Target)
	}
	for _, d := range v.Dabs {
		out = append(out, d.Reading)
	}
	return out
}

// again tells whether the view's target is that of the view that is mixed for.
func (v *View) again(first *look) bool {
	return v.Same && v.Target != nil && first != nil && first.Target != nil
}

// lookAt adds what a view alone knows to what is known, before it is seen.
func (p *Palette) lookAt(v View, mixed bool, spill float64) (*look, guess) {
	l, g := &look{View: v, mixed: mixed, bottles: len(p.at)}, p.known
	add := func(more guess) int {
		l.moves = span(l.moves, len(g.mean), len(more.mean))
		g = g.with(more)
		return len(g.mean) - len(more.mean)
	}
	l.hide = add(smooth(hideLevel, hideSD, hideLength, levelSD))
	l.under = span(nil, add(even(len(v.readings()), 0, underSD)), len(v.readings()))
	l.shared = add(even(len(v.Hide.Shared), 0, 1))
	l.camera = add(even(len(p.lens.ways), 0, 1))
	l.last = len(g.mean)
	l.pour(add, spill)
	in := make([]bool, len(p.at))
	for _, d := range v.Dabs {
		for i, a := range d.Amounts {
			in[i] = in[i] || a > 0
		}
	}
	switch {
	case v.again(p.look):
		l.target, l.mixed, l.bottles, l.under[1] = p.look.target, p.look.mixed, p.look.bottles, p.look.under[1]
		l.moves = append(l.moves, l.under[1])
		if !l.mixed {
			l.moves = span(l.moves, l.target, samples)
			break
		}
		l.moves = span(l.moves, l.target, l.bottles)
		for i := range l.bottles {
			in[i] = true
		}
	case v.Target != nil && mixed:
		l.target = add(even(len(p.at), math.Log(usualDye/float64(len(p.at))), amountSD))
		for i := range in {
			in[i] = true
		}
	case v.Target != nil:
		l.target = add(smooth(0, dyeSD, dyeLength, levelSD))
	}
	l.moves = append(l.moves, 0)
	for i, is := range in {
		if is {
			l.moves = span(l.moves, p.at[i], samples+1)
		}
	}
	return l, g
}

// fit works out what a view tells, and returns what was seen. A target is taken for a mix
// of the dyes unless it is likelier not to be.
func (p *Palette) fit(v View) (l *look, g guess, seen []float64) {
	v = v.inPhoto()
	readings := v.readings()
	noise := mat.NewDense(3*len(readings), 3*len(readings), nil)
	for n, r := range readings {
		seen = append(seen, triple(r.Lab)...)
		sd := readingSD
		if r.Shared == nil {
			sd = aloneSD
		}
		for i := range r.Cov {
			for j := range r.Cov {
				noise.Set(3*n+i, 3*n+j, r.Cov[i][j])
			}
			noise.Set(3*n+i, 3*n+i, r.Cov[i][i]+sd*sd)
		}
	}
	try := func(mixed bool, spill float64) (*look, guess) {
		l, g := p.lookAt(v, mixed, spill)
		g, l.likely = g.sharpen(func(x []float64) []float64 { return p.see(l, x) }, l.moves, seen, noise)
		return l, g
	}
	l, g = try(true, spillSD)
	if v.Target != nil && !v.again(p.look) {
		if other, h := try(false, spillSD); other.likely > l.likely {
			l, g = other, h
		}
	}
	if l.mixes() {
		otherwise, _ := try(l.mixed, misnamedSD)
		l.misnamed = otherwise.likely > l.likely+surely
	}
	return l, g, seen
}

// fold takes in a view and returns it. What it alone knows is kept, and mixed for from then
// on, or left aside.
func (p *Palette) fold(v View, keep bool) (*look, error) {
	l, g, seen := p.fit(v)
	if err := p.reached(l, g.mean, seen); err != nil {
		return l, err
	}
	if l.strain(g.mean) > mostStrain {
		return l, p.misfit(v)
	}
	if keep {
		p.known, p.look = g, l
	} else {
		p.known = g.first(len(p.known.mean))
	}
	p.refresh()
	return l, nil
}
