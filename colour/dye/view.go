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

// ofTarget appends which of the numbers known the target hangs on, besides its dyes.
func (l *look) ofTarget(to []int) []int {
	to = append(to, l.under[1])
	if l.mixed {
		return span(to, l.target, l.bottles)
	}
	return span(to, l.target, samples)
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
		l.moves = l.ofTarget(l.moves)
		for i := range l.bottles {
			in[i] = in[i] || l.mixed
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

// sight is a view and what was seen of it, with its noise.
type sight struct {
	View
	seen  []float64
	noise *mat.Dense
}

func (v View) sight() sight {
	v = v.inPhoto()
	readings := v.readings()
	s := sight{View: v, noise: mat.NewDense(3*len(readings), 3*len(readings), nil)}
	for n, r := range readings {
		s.seen = append(s.seen, triple(r.Lab)...)
		sd := readingSD
		if r.Shared == nil {
			sd = aloneSD
		}
		for i := range r.Cov {
			for j := range r.Cov {
				s.noise.Set(3*n+i, 3*n+j, r.Cov[i][j])
			}
			s.noise.Set(3*n+i, 3*n+i, r.Cov[i][i]+sd*sd)
		}
	}
	return s
}

// try works out what a view tells when its target is a mix of the dyes or not, and mixes are
// poured within spill.
func (p *Palette) try(s sight, mixed bool, spill float64) (*look, guess) {
	l, g := p.lookAt(s.View, mixed, spill)
	g, l.likely = g.sharpen(func(x []float64) []float64 { return p.see(l, x) }, l.moves, s.seen, s.noise)
	return l, g
}

// fit works out what a view tells. A target is taken for a mix of the dyes unless it is
// likelier not to be.
func (p *Palette) fit(s sight) (*look, guess) {
	l, g := p.try(s, true, spillSD)
	if s.Target != nil && !s.again(p.look) {
		if other, h := p.try(s, false, spillSD); other.likely > l.likely {
			return other, h
		}
	}
	return l, g
}

// fold takes in a view and returns it. What it alone knows is kept, and mixed for from then
// on, or left aside.
func (p *Palette) fold(v View, keep bool) (*look, error) {
	s := v.sight()
	l, g := p.fit(s)
	if err := p.reached(l, g.mean, s.seen); err != nil {
		return l, err
	}
	if l.strain(g.mean) > mostStrain {
		return l, p.misfit(v)
	}
	if l.mixes() {
		otherwise, _ := p.try(s, l.mixed, misnamedSD)
		l.misnamed = otherwise.likely > l.likely+surely
	}
	if keep {
		p.known, p.look = g, l
	} else {
		p.known = g.first(len(p.known.mean))
	}
	p.refresh()
	return l, nil
}
