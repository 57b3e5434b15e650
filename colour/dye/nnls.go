package dye

import (
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/combin"
)

// nonNegative returns the x, none of it below 0, that makes |a·x - b| least. Some
// such x needs no more columns than a has rows (Carathéodory), so every choice of
// so few is solved and the best kept: a few hundred small solutions for a dozen
// bottles, and no path to lose by rounding. Columns that others make up are left
// at 0.
func nonNegative(a *mat.Dense, b *mat.VecDense) []float64 {
	rows, n := a.Dims()
	best, least := make([]float64, n), mat.Norm(b, 2)
	for k := 1; k <= min(rows, n); k++ {
		for _, columns := range combin.Combinations(n, k) {
			if x, misfit, ok := solve(a, b, columns); ok && misfit < least {
				best, least = x, misfit
			}
		}
	}
	return best
}

// solve returns the least squares over these columns, 0 in the others, and its
// misfit; false when the columns do not decide it or ask for less than nothing.
func solve(a *mat.Dense, b *mat.VecDense, columns []int) (x []float64, misfit float64, ok bool) {
	rows, n := a.Dims()
	part := mat.NewDense(rows, len(columns), nil)
	for i, j := range columns {
		part.SetCol(i, mat.Col(nil, j, a))
	}
	var z, rest mat.VecDense
	if err := z.SolveVec(part, b); err != nil || mat.Min(&z) < 0 {
		return nil, 0, false
	}
	rest.MulVec(part, &z)
	rest.SubVec(b, &rest)
	x = make([]float64, n)
	for i, j := range columns {
		x[j] = z.AtVec(i)
	}
	return x, mat.Norm(&rest, 2), true
}
