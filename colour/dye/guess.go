package dye

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// guess is what is known of some numbers: their mean and covariance.
type guess struct {
	mean []float64
	cov  *mat.Dense
}

// with returns the guess of these numbers and, after them, of others that have nothing
// to do with them.
func (g guess) with(more guess) guess {
	n, m := len(g.mean), len(more.mean)
	if m == 0 {
		return g
	}
	cov := mat.NewDense(n+m, n+m, nil)
	if n > 0 {
		cov.Slice(0, n, 0, n).(*mat.Dense).Copy(g.cov)
	}
	cov.Slice(n, n+m, n, n+m).(*mat.Dense).Copy(more.cov)
	return guess{append(append([]float64(nil), g.mean...), more.mean...), cov}
}

// first returns the guess of the first n numbers.
func (g guess) first(n int) guess {
	return guess{g.mean[:n:n], mat.DenseCopyOf(g.cov.Slice(0, n, 0, n))}
}

// even is a guess of n numbers of one mean, each by itself.
func even(n int, mean, sd float64) guess {
	if n == 0 {
		return guess{}
	}
	g := guess{make([]float64, n), mat.NewDense(n, n, nil)}
	for i := range n {
		g.mean[i] = mean
		g.cov.Set(i, i, sd*sd)
	}
	return g
}

// sharpen returns the guess once f of the numbers has been seen, with noise: the
// most probable, by Gauss and Newton, and the covariance there. f hangs on the
// numbers in moves alone. Evidence is the logarithm of how likely it was to see that,
// but for a constant.
func (g guess) sharpen(f func([]float64) []float64, moves []int, seen []float64, noise *mat.Dense) (out guess, evidence float64) {
	m := len(seen)
	x := append([]float64(nil), g.mean...)
	columns := mat.NewDense(len(x), len(moves), nil) // of the covariance
	for k, i := range moves {
		columns.SetCol(k, mat.Col(nil, i, g.cov))
	}
	var side mat.Dense
	var factor mat.Cholesky
	for round := range 60 {
		now := f(x)
		slope := derivative(f, moves, x, now)
		side.Mul(columns, slope.T())
		total := mat.NewSymDense(m, nil)
		rest := mat.NewVecDense(m, nil)
		for k := range m {
			v := seen[k] - now[k]
			for c, i := range moves {
				v += slope.At(k, c) * (x[i] - g.mean[i])
			}
			rest.SetVec(k, v)
			for l := k; l < m; l++ {
				v := noise.At(k, l)
				for c, i := range moves {
					v += slope.At(k, c) * side.At(i, l)
				}
				total.SetSym(k, l, v)
			}
		}
		var weight, step mat.VecDense
		if !factor.Factorize(total) || factor.SolveVecTo(&weight, rest) != nil {
			return g, math.Inf(-1) // not numbers
		}
		step.MulVec(&side, &weight)
		evidence = -(mat.Dot(rest, &weight) + factor.LogDet()) / 2
		most := 0.0
		for i := range x {
			most = max(most, math.Abs(g.mean[i]+step.AtVec(i)-x[i]))
		}
		const longest, done = 1.0, 1e-6 // of a logarithm: the bend of K/S allows no more at once
		share := min(1, longest/most)
		if round > 20 { // to and fro
			share /= 2
		}
		for i := range x {
			x[i] += share * (g.mean[i] + step.AtVec(i) - x[i])
		}
		if most < done {
			break
		}
	}
	var gain, known mat.Dense
	if factor.SolveTo(&gain, side.T()) != nil {
		return g, math.Inf(-1)
	}
	known.Mul(&side, &gain)
	known.Sub(g.cov, &known)
	return guess{x, &known}, evidence
}

// derivative returns how f moves with each of the numbers in moves, a column each.
func derivative(f func([]float64) []float64, moves []int, x, now []float64) *mat.Dense {
	const h = 1e-4
	out := mat.NewDense(len(now), len(moves), nil)
	for c, i := range moves {
		was := x[i]
		x[i] += h
		for k, v := range f(x) {
			out.Set(k, c, (v-now[k])/h)
		}
		x[i] = was
	}
	return out
}

// carry returns the covariance of f of the numbers, which hangs on those in moves.
func (g guess) carry(f func([]float64) []float64, moves []int) *mat.Dense {
	slope := derivative(f, moves, append([]float64(nil), g.mean...), f(g.mean))
	inner := mat.NewDense(len(moves), len(moves), nil)
	for a, i := range moves {
		for b, j := range moves {
			inner.Set(a, b, g.cov.At(i, j))
		}
	}
	var side, out mat.Dense
	side.Mul(slope, inner)
	out.Mul(&side, slope.T())
	return &out
}

// span appends n numbers from first on.
func span(to []int, first, n int) []int {
	for i := range n {
		to = append(to, first+i)
	}
	return to
}

// follow makes the numbers from first on f of those before, which hangs on those in
// moves, plus what they are known to be.
func (g *guess) follow(f func([]float64) []float64, moves []int, first int) {
	now := f(g.mean)
	slope := derivative(f, moves, append([]float64(nil), g.mean...), now)
	rows := mat.NewDense(len(moves), first, nil) // of the covariance
	for c, i := range moves {
		rows.SetRow(c, g.cov.RawRowView(i)[:first])
	}
	var cross mat.Dense
	cross.Mul(slope, rows)
	for k, v := range now {
		g.mean[first+k] += v
		for i := range first {
			g.cov.Set(first+k, i, cross.At(k, i))
			g.cov.Set(i, first+k, cross.At(k, i))
		}
		for m := range now {
			v := g.cov.At(first+k, first+m)
			for c, i := range moves {
				v += cross.At(k, i) * slope.At(m, c)
			}
			g.cov.Set(first+k, first+m, v)
		}
	}
}
