package tolerance

import (
	"cmp"
	"math"
	"slices"

	"evenhide/colour"
)

// lengthInterval returns an interval that holds the length of the true vector with
// at least 95 % probability, when v was measured with covariance cov.
//
// The upper end is the 97.5 % point of the length when the true vector is taken to
// be normal about the measured one, weighted by length^(1-d), with d the number of
// directions in which the noise is at home: a prior flat in the length. For lengths
// of many standard uncertainties u along v that is v + 1.96 u.
//
// The lower end is √(v² - across) - 2u, with across the variance across v, which
// only ever lengthens what is measured; it is the 2.5 % point of the same weighted
// lengths where that is lower, and never below 0. The prior alone would promise too
// much there: it leans towards the measured direction. Where noise alone gives so
// long a v in one measurement of a hundred, the interval runs from 0 to the weighted
// lengths' 95 % point: 1.96 u for a v of 0.
func lengthInterval(v vector, cov colour.Matrix) (lo, hi float64) {
	length := norm(v)
	if cov == (colour.Matrix{}) {
		return length, length
	}
	root := cov.Root()
	const points = 1024
	type draw struct{ length, weight float64 }
	draws := make([]draw, points)
	power, total := 1-directions(cov), 0.0
	for i := range draws {
		d := root.Apply(vector{normal((float64(i) + .5) / points), normal(radicalInverse(i, 2)), normal(radicalInverse(i, 3))})
		r := norm(vector{v[0] + d[0], v[1] + d[1], v[2] + d[2]})
		draws[i] = draw{r, math.Pow(r, power)}
		total += draws[i].weight
	}
	slices.SortFunc(draws, func(a, b draw) int { return cmp.Compare(a.length, b.length) })
	at := func(p float64) float64 {
		sum := 0.0
		for _, d := range draws {
			if sum += d.weight; sum >= p*total {
				return d.length
			}
		}
		return draws[points-1].length
	}
	const coverage, k = .95, 2
	moved := cov.Apply(v)
	along := v[0]*moved[0] + v[1]*moved[1] + v[2]*moved[2] // u² along v, times length²
	if length*length*length*length <= chiSquare99(directions(cov))*along {
		return 0, at(coverage) // noise alone gives such a difference in one photo of a hundred
	}
	// Noise across v only lengthens it: the lower end takes that off in full.
	u2 := along / (length * length)
	across := cov[0][0] + cov[1][1] + cov[2][2] - u2
	least := math.Sqrt(max(0, length*length-across)) - k*math.Sqrt(u2)
	return max(0, min(least, at((1-coverage)/2))), at((1 + coverage) / 2)
}

// chiSquare99 returns the 99 % point of chi-square for 1 to 3 degrees of freedom,
// by a straight line between its exact values 6.63, 9.21 and 11.34: 0.15 too low at 2
// degrees, 0.07 too high at 1 and 3.
func chiSquare99(degrees float64) float64 { return 4.35 + 2.355*degrees }

// directions returns in how many directions cov is at home: 1 when all noise
// lies along one line, 3 when it is alike all round.
func directions(cov colour.Matrix) float64 {
	trace, squares := 0.0, 0.0
	for i := range cov {
		trace += cov[i][i]
		for j := range cov {
			squares += cov[i][j] * cov[i][j]
		}
	}
	return trace * trace / squares
}

// normal returns the quantile p, between 0 and 1, of the standard normal.
func normal(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// radicalInverse returns the i-th point, in 0..1, of the van der Corput sequence
// of the given base: evenly spread where random draws would clump, and the same
// in every run.
func radicalInverse(i, base int) float64 {
	p, digit := 0.0, 1/float64(base)
	for n := i + 1; n > 0; n /= base {
		p += float64(n%base) * digit
		digit /= float64(base)
	}
	return p
}

func norm(v vector) float64 { return math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2]) }
