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
}

// BuildUp is how strength grows with coats: Full·(1 - exp(-n/Rate)). Full is
// where it ends and Rate the coats that it takes to 63 % of that. In K/S it is a
// surface whose sites fill; common practice, no source.
type BuildUp struct{ Full, Rate float64 }

// After returns the strength after n coats.
func (b BuildUp) After(n int) float64 { return b.Full * -math.Expm1(-float64(n)/b.Rate) }

// Prior is what is known of a colour's build-up before a piece is read: the mean
// and covariance of ln Full and ln Rate over pieces.
type Prior struct {
	Mean [2]float64
	Cov  [2][2]float64
}

// DefaultPrior returns what is assumed of a colour without earlier pieces: it
// ends near a strength of 1.2, give or take a half, and is two thirds there after
// two coats, give or take as much (common practice, no source).
func DefaultPrior() Prior {
	return Prior{[2]float64{math.Log(1.2), math.Log(2)}, [2][2]float64{{.16, 0}, {0, .25}}}
}

// lawSD is by what share of itself a strength may be off the law (standard
// deviation): coats are laid by hand.
const lawSD = .04

// Course is a piece's build-up as its readings and the prior make it.
type Course struct {
	Likely BuildUp // the most probable
	grid   []weighted
}

// weighted is a build-up and its probability.
type weighted struct {
	BuildUp
	p float64
}

// FitCoats returns the build-up of one piece from its strength after each coat, any
// of them left out, in any order; without readings it is what the prior says. It
// weighs a grid of build-ups, four standard deviations of the prior each way, by the
// prior and the readings.
//
// The error is ErrCoats for coats outside 1 to 100, a coat read twice, a strength or
// U that is not a number above 0, and a prior that is no covariance.
func FitCoats(coats []Coat, prior Prior) (Course, error) {
	if err := checkCoats(coats, prior); err != nil {
		return Course{}, err
	}
	c := Course{}
	const side, reach = 81, 4.0
	// The lower triangle whose square is the covariance.
	a := math.Sqrt(prior.Cov[0][0])
	b := prior.Cov[0][1] / a
	d := math.Sqrt(prior.Cov[1][1] - b*b)
	least := math.Inf(1)
	misfits := make([]float64, 0, side*side)
	for i := range side * side {
		x := reach * (2*float64(i%side)/(side-1) - 1)
		y := reach * (2*float64(i/side)/(side-1) - 1)
		build := BuildUp{math.Exp(prior.Mean[0] + a*x), math.Exp(prior.Mean[1] + b*x + d*y)}
		chi2 := x*x + y*y
		for _, r := range coats {
			expected := build.After(r.N)
			z := (expected - r.Strength) / math.Hypot(r.U/2, lawSD*expected)
			chi2 += z * z
		}
		if chi2 < least {
			least, c.Likely = chi2, build
		}
		c.grid = append(c.grid, weighted{BuildUp: build})
		misfits = append(misfits, chi2)
	}
	total := 0.0
	for i, chi2 := range misfits {
		c.grid[i].p = math.Exp((least - chi2) / 2)
		total += c.grid[i].p
	}
	for i := range c.grid {
		c.grid[i].p /= total
	}
	return c, nil
}

func checkCoats(coats []Coat, prior Prior) error {
	const most = 100 // nobody lays on more
	seen := map[int]bool{}
	for _, c := range coats {
		if c.N < 1 || c.N > most || seen[c.N] {
			return fmt.Errorf("%w: coat %d; each of 1 to %d at most once", ErrCoats, c.N, most)
		}
		if !(c.Strength > 0 && c.U > 0) || math.IsInf(c.Strength+c.U, 0) {
			return fmt.Errorf("%w: strength %g ± %g after coat %d", ErrCoats, c.Strength, c.U, c.N)
		}
		seen[c.N] = true
	}
	v := prior.Cov
	if !(v[0][0] > 0 && v[0][0]*v[1][1]-v[0][1]*v[1][0] > 0 && v[0][1] == v[1][0] && math.Abs(prior.Mean[0])+math.Abs(prior.Mean[1])+v[0][0]+v[1][1] < 100) {
		return fmt.Errorf("%w: prior %v", ErrCoats, prior)
	}
	return nil
}

// moments returns the mean and covariance of ln Full and ln Rate.
func (c Course) moments() (m Prior) {
	for _, g := range c.grid {
		m.Mean[0] += g.p * math.Log(g.Full)
		m.Mean[1] += g.p * math.Log(g.Rate)
	}
	for _, g := range c.grid {
		m.spread(Prior{Mean: [2]float64{math.Log(g.Full), math.Log(g.Rate)}}, g.p)
	}
	return m
}
