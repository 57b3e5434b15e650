package dye

import (
	"math"
	"slices"
)

// byHand is by what share a coat laid by hand is heavier or lighter than another
// (standard deviation; common practice, no source).
const byHand = .15

// curve is what pieces of a colour come to, from no coat on: the usual piece's
// strength, what it gains for filling up sooner, and the sum of the squares of what
// the coats add. Pieces vary about it by a share in how much they take up and how
// soon, to first order, and each coat by hand.
type curve struct {
	after, sooner, squares []float64
	vary                   float64
}

func newCurve(b BuildUp, coats int) curve {
	c := curve{after: make([]float64, coats+1), sooner: make([]float64, coats+1), squares: make([]float64, coats+1)}
	for n := 1; n <= coats; n++ {
		c.after[n], c.sooner[n] = b.After(n), b.sooner(float64(n))
		gain := c.after[n] - c.after[n-1]
		c.squares[n] = c.squares[n-1] + gain*gain
	}
	return c
}

// sooner returns by how much the strength after n coats grows with -ln Rate.
func (b BuildUp) sooner(n float64) float64 {
	t := n / b.Rate
	switch {
	case b.Power > 0:
		return b.Full * b.Power * math.Pow(t, b.Power)
	case b.Shape > 0:
		return b.Full * t * math.Pow(1+t/b.Shape, -b.Shape-1)
	}
	return b.Full * t * math.Exp(-t)
}

// cov returns how a piece's strengths after i and after j coats vary together.
func (c curve) cov(i, j int) float64 {
	return c.vary*c.vary*(c.after[i]*c.after[j]+c.sooner[i]*c.sooner[j]) + byHand*byHand*c.squares[min(i, j)]
}

// onCurve is a piece on a curve: what its readings leave open of it.
type onCurve struct {
	curve
	coats []Coat
	root  []float64  // of the readings' covariance, the lower triangle, by row
	white []float64  // the readings' distances from the curve, divided by it
	moved []movement // how errors shared with other pieces move these
	known []float64  // and the root of what is known of those errors, the lower triangle, by row
}

// place lays a piece on a curve; own is the variance of each reading by itself. What
// p holds is used again: there are thousands of curves.
func (p *onCurve) place(c curve, coats []Coat, own []float64) {
	m := len(coats)
	p.curve, p.coats = c, coats
	p.root, p.white = slices.Grow(p.root[:0], m*m)[:m*m], slices.Grow(p.white[:0], m)[:m]
	for i, a := range coats {
		for j, b := range coats[:i+1] {
			s := c.cov(a.N, b.N)
			if i == j {
				s += own[i]
			}
			s -= product(p.root[j*m:j*m+j], p.root[i*m:])
			if i == j {
				p.root[i*m+i] = math.Sqrt(s)
			} else {
				p.root[i*m+j] = s / p.root[j*m+j]
			}
		}
		p.white[i] = a.Strength - c.after[a.N]
	}
	p.whiten(p.white)
}

// whiten divides a column, one number a reading, by the root of the covariance.
func (p *onCurve) whiten(column []float64) {
	m := len(column)
	first := 0
	for first < m && column[first] == 0 {
		first++
	}
	for i := first; i < m; i++ {
		column[i] -= product(p.root[i*m+first:i*m+i], column[first:])
		column[i] /= p.root[i*m+i]
	}
}

// correct takes off the readings what w, which has just been held against the curve, says
// of the errors that they share with those of other pieces.
func (p *onCurve) correct(w *witnesses) {
	errors := slices.Clone(w.pulls)
	k := len(errors)
	for i := k - 1; i >= 0; i-- {
		errors[i] /= w.shared[i*k+i]
		for j := range i {
			errors[j] -= w.shared[i*k+j] * errors[i]
		}
	}
	p.known = slices.Clone(w.shared)
	for _, m := range w.pieces[0].moved {
		column := slices.Clone(m.column)
		p.whiten(column)
		p.moved = append(p.moved, movement{m.by, m.first, column})
		for i, x := range column {
			p.white[i] -= x * errors[m.by]
		}
	}
}

// unknown returns the variance that the shared errors, as far as they are not known, leave
// of what is drawn from the readings in those shares.
func (p *onCurve) unknown(shares []float64) (variance float64) {
	if len(p.moved) == 0 {
		return 0
	}
	k := int(math.Sqrt(float64(len(p.known))))
	by := make([]float64, k)
	for _, m := range p.moved {
		by[m.by] = product(shares, m.column)
	}
	for i := range by {
		by[i] = (by[i] - product(p.known[i*k:i*k+i], by)) / p.known[i*k+i]
		variance += by[i] * by[i]
	}
	return variance
}

// at returns the mean and the variance of the piece's strength after n coats.
func (p *onCurve) at(n int) (mean, variance float64) {
	mean, variance = p.after[n], p.cov(n, n)
	column := make([]float64, len(p.coats))
	for i, r := range p.coats {
		column[i] = p.cov(r.N, n)
	}
	p.whiten(column)
	for i, x := range column {
		mean += x * p.white[i]
		variance -= x * x
	}
	return mean, max(variance+p.unknown(column), tiny)
}

// above returns the probability that the strength after n coats is at least so much.
func (p *onCurve) above(n int, strength float64) float64 {
	mean, variance := p.at(n)
	return math.Erfc((strength-mean)/math.Sqrt(2*variance)) / 2
}
