package dye

import (
	"fmt"
	"math"
)

// grid is build-ups spread over a prior, with what they come to after each coat as far
// as that was asked for.
type grid struct {
	cells []cell
	prior []float64   // -2 ln of each cell's probability
	after [][]float64 // of each cell, from no coat on
}

func newGrid(prior Prior) (*grid, error) {
	const side, reach = 41, 3.5
	g := &grid{}
	for k, of := range prior {
		if err := of.check(); err != nil {
			return nil, err
		}
		// The lower triangle whose square is the covariance.
		a := math.Sqrt(of.Cov[0][0])
		b := of.Cov[0][1] / a
		d := math.Sqrt(of.Cov[1][1] - b*b)
		for i := range side * side {
			x := reach * (2*float64(i%side)/(side-1) - 1)
			y := reach * (2*float64(i/side)/(side-1) - 1)
			at := [2]float64{of.Mean[0] + a*x, of.Mean[1] + b*x + d*y}
			g.cells = append(g.cells, cell{kind: k, at: at, BuildUp: buildUp(k, at)})
			g.prior = append(g.prior, x*x+y*y-2*math.Log(of.Weight))
			g.after = append(g.after, []float64{0})
		}
	}
	return g, nil
}

// upTo works out what the build-ups come to after up to n coats.
func (g *grid) upTo(n int) {
	for i := range g.after {
		for k := len(g.after[i]); k <= n; k++ {
			g.after[i] = append(g.after[i], g.cells[i].After(k))
		}
	}
}

// fit weighs the cells by readings that were checked.
func (g *grid) fit(coats []Coat) Course {
	c := Course{cells: append([]cell{}, g.cells...)}
	for _, r := range coats {
		c.coats = max(c.coats, r.N)
	}
	g.upTo(c.coats)
	read := make([]Coat, c.coats+1)
	for _, r := range coats {
		read[r.N] = r
	}
	least := math.Inf(1)
	misfits := make([]float64, len(c.cells))
	for i := range c.cells {
		x := &c.cells[i]
		misfits[i] = g.prior[i] + x.follow(g.after[i], read)
		if misfits[i] < least {
			least, c.Likely = misfits[i], x.BuildUp
		}
	}
	total := 0.0
	for i := range c.cells {
		c.cells[i].p = math.Exp((least - misfits[i]) / 2)
		total += c.cells[i].p
	}
	for i := range c.cells {
		c.cells[i].p /= total
	}
	return c
}

// follow goes from coat to coat, each gain a little off by hand, takes in each reading
// and returns -2 ln of how likely all of them are (Kalman's filter for one number).
func (x *cell) follow(after []float64, read []Coat) (misfit float64) {
	for n := 1; n < len(read); n++ {
		x.lay(after[n] - after[n-1])
		if r := read[n]; r.N == n {
			total := x.vary + r.U*r.U/4
			off := r.Strength - x.mean
			misfit += off*off/total + math.Log(total)
			x.mean += x.vary / total * off
			x.vary *= 1 - x.vary/total
		}
	}
	return misfit
}

// lay adds a coat that gains so much, more or less.
func (x *cell) lay(gain float64) {
	x.mean += gain
	x.vary += byHand * byHand * gain * gain
}

// above returns the probability that the strength is at least so much.
func (x *cell) above(strength float64) float64 {
	if x.vary == 0 { // no coat yet
		if x.mean >= strength {
			return 1
		}
		return 0
	}
	return math.Erfc((strength-x.mean)/math.Sqrt(2*x.vary)) / 2
}

func (p KindPrior) check() error {
	v := p.Cov
	if !(p.Weight > 0 && v[0][0] > 0 && v[0][0]*v[1][1]-v[0][1]*v[1][0] > 0 && v[0][1] == v[1][0] && math.Abs(p.Mean[0])+math.Abs(p.Mean[1])+v[0][0]+v[1][1] < 100) {
		return fmt.Errorf("%w: prior %v", ErrCoats, p)
	}
	return nil
}
