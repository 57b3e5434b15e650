package dye

import (
	"errors"
	"fmt"
	"math"
)

// ErrCoats: readings after coats that nothing can be fitted to.
var ErrCoats = errors.New("no build-up")

// Coat is a piece's strength after its Nth coat.
type Coat struct {
	N           int // 1 is the first
	Strength, U float64
	Photo       int64 // readings of one share a part of their error; 0 is one of its own
}

// BuildUp is how strength grows with coats: Full·(1 - (1 + n/(Shape·Rate))^-Shape).
// Full is where it ends; its sites fill at a mean rate of 1/Rate a coat, which varies
// from site to site as a gamma distribution of that Shape does. Where all are alike,
// for which Shape is 0, it is Full·(1 - exp(-n/Rate)). That K/S grows so is common
// practice, no source. With a Power it does not end: Full·(n/Rate)^Power.
type BuildUp struct{ Full, Rate, Shape, Power float64 }

// After returns the strength after n coats.
func (b BuildUp) After(n int) float64 { return b.Full * b.filled(float64(n)) }

// filled returns the share of the sites that n coats fill.
func (b BuildUp) filled(n float64) float64 {
	t := n / b.Rate
	switch {
	case b.Power > 0:
		return math.Pow(t, b.Power)
	case b.Shape > 0:
		return -math.Expm1(-b.Shape * math.Log1p(t/b.Shape))
	}
	return -math.Expm1(-t)
}

// Course is a piece's build-up as its readings and those of its colour make it.
type Course struct {
	pieces [][]Coat // that were read, this one first
	last   int      // coat of it that was read
	most   int      // coats of any
	likely cell     // the most probable
	cells  []cell
}

// cell is a build-up with its probability.
type cell struct {
	BuildUp
	vary, p float64
}

// FitCoats returns the build-up of one piece from its strength after each coat, any
// of them left out or read in several photos, in any order, from those of its colour's
// other pieces, and from how many coats its colour usually takes, 0 for unknown; without
// readings it is what is assumed. It weighs a grid of build-ups by what is assumed and
// by how likely each makes all readings, when pieces of a colour follow one build-up,
// each a little otherwise, when coats are laid by hand, and when readings share errors.
//
// The error is ErrCoats for a usual number outside 0 to 100, coats outside 1 to 100, a
// coat read twice in one photo, and a strength or U that is not a number above 0.
func FitCoats(own []Coat, others [][]Coat, usual int) (Course, error) {
	if usual < 0 || usual > farthestCoat {
		return Course{}, fmt.Errorf("%w: %d coats are usual; 0 to %d wanted", ErrCoats, usual, farthestCoat)
	}
	c := Course{pieces: append([][]Coat{own}, others...)}
	for i, coats := range c.pieces {
		if err := checkCoats(coats); err != nil {
			return Course{}, err
		}
		for _, r := range coats {
			c.most = max(c.most, r.N)
		}
		if i == 0 {
			c.last = c.most
		}
	}
	w := newWitnesses(c.pieces)
	builds, prior := candidates(usual)
	var misfits []float64
	least := math.Inf(1)
	for i, b := range builds {
		at := newCurve(b, c.most)
		for _, at.vary = range varies() {
			m := prior[i] + w.misfit(at)
			if m < least {
				least, c.likely = m, cell{BuildUp: b, vary: at.vary}
			}
			misfits, c.cells = append(misfits, m), append(c.cells, cell{BuildUp: b, vary: at.vary})
		}
	}
	c.weigh(misfits, least)
	return c, nil
}

// weigh turns misfits into probabilities, and drops what no figure shows.
func (c *Course) weigh(misfits []float64, least float64) {
	const nothing = 1e-7 // of the most probable
	all := c.cells
	c.cells = nil
	total := 0.0
	for i, x := range all {
		if x.p = math.Exp((least - misfits[i]) / 2); x.p > nothing {
			c.cells = append(c.cells, x)
			total += x.p
		}
	}
	for i := range c.cells {
		c.cells[i].p /= total
	}
}

// After returns what the piece most probably comes to after n coats.
func (c Course) After(n int) float64 {
	mean, _ := c.on(newWitnesses(c.pieces), c.likely, n).at(n)
	return mean
}

// on places the piece on a build-up, worked out as far as n coats, with what all
// witnesses then tell of the errors that its readings share with theirs.
func (c Course) on(w *witnesses, x cell, n int) *onCurve {
	at := newCurve(x.BuildUp, max(n, c.most))
	at.vary = x.vary
	p := new(onCurve)
	if len(c.pieces[0]) == 0 {
		p.place(at, nil, nil)
		return p
	}
	w.misfit(at)
	p.place(at, w.pieces[0].coats, w.pieces[0].own)
	p.correct(w)
	return p
}

const farthestCoat = 100 // nobody lays on more

func checkCoats(coats []Coat) error {
	type reading struct {
		coat  int
		photo int64
	}
	seen := map[reading]bool{}
	for _, c := range coats {
		r := reading{c.N, c.Photo}
		if c.N < 1 || c.N > farthestCoat || seen[r] {
			return fmt.Errorf("%w: coat %d; each of 1 to %d, at most once in a photo", ErrCoats, c.N, farthestCoat)
		}
		if !(c.Strength > 0 && c.U > 0) || math.IsInf(c.Strength+c.U, 0) {
			return fmt.Errorf("%w: strength %g ± %g after coat %d", ErrCoats, c.Strength, c.U, c.N)
		}
		seen[r] = true
	}
	return nil
}
