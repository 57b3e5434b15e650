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

// BuildUp is how strength grows with coats: Full·(1 - (1 + n/(Shape·Rate))^-Shape).
// Full is where it ends; its sites fill at a mean rate of 1/Rate a coat, which varies
// from site to site as a gamma distribution of that Shape does. Where all are alike,
// for which Shape is 0, it is Full·(1 - exp(-n/Rate)). That K/S grows so is common
// practice, no source.
type BuildUp struct{ Full, Rate, Shape float64 }

// After returns the strength after n coats.
func (b BuildUp) After(n int) float64 { return b.Full * b.filled(float64(n)) }

// filled returns the share of the sites that n coats fill.
func (b BuildUp) filled(n float64) float64 {
	t := n / b.Rate
	if b.Shape == 0 {
		return -math.Expm1(-t)
	}
	return -math.Expm1(-b.Shape * math.Log1p(t/b.Shape))
}

// byHand is by what share a coat laid by hand is heavier or lighter than another
// (standard deviation; common practice, no source).
const byHand = .15

// Course is a piece's build-up as its readings and the prior make it.
type Course struct {
	Likely BuildUp // the most probable
	coats  int     // that the last reading is after
	cells  []cell
}

// cell is a build-up, its probability, and what the strength then is after the last
// coat that was read: mean and variance.
type cell struct {
	BuildUp
	kind       int
	at         [2]float64 // where it lies in the prior of its kind
	p          float64
	mean, vary float64
}

// FitCoats returns the build-up of one piece from its strength after each coat, any
// of them left out, in any order; without readings it is what the prior says. It
// weighs a grid of build-ups, three and a half standard deviations of the prior each
// way, by the prior and by how likely each makes the readings when coats are laid by
// hand.
//
// The error is ErrCoats for coats outside 1 to 100, a coat read twice, a strength or
// U that is not a number above 0, and a prior that is no covariance.
func FitCoats(coats []Coat, prior Prior) (Course, error) {
	if err := checkCoats(coats); err != nil {
		return Course{}, err
	}
	g, err := newGrid(prior)
	if err != nil {
		return Course{}, err
	}
	return g.fit(coats), nil
}

func checkCoats(coats []Coat) error {
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
	return nil
}

// moments returns what the course makes of the prior: how likely each kind is, and
// where it then lies.
func (c Course) moments() (m Prior) {
	for _, x := range c.cells {
		of := &m[x.kind]
		of.Weight += x.p
		of.Mean[0] += x.p * x.at[0]
		of.Mean[1] += x.p * x.at[1]
	}
	for i := range m {
		for k := range m[i].Mean {
			m[i].Mean[k] /= max(m[i].Weight, tiny)
		}
	}
	for _, x := range c.cells {
		m[x.kind].spread(KindPrior{Mean: x.at}, x.p/max(m[x.kind].Weight, tiny))
	}
	return m
}
