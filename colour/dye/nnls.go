package dye

import "gonum.org/v1/gonum/mat"

// nonNegative returns the x, none of it below 0, that makes |a·x - b| least, by
// the active-set method of Lawson and Hanson (Solving Least Squares Problems,
// 1974, chapter 23). Columns that others make up are left at 0.
func nonNegative(a *mat.Dense, b *mat.VecDense) []float64 {
	_, n := a.Dims()
	x, free := make([]float64, n), make([]bool, n)
	for range 3 * n { // it ends by itself; this bounds what rounding may do
		j := steepest(a, b, x, free)
		if j < 0 {
			break
		}
		free[j] = true
		for {
			z, ok := solveFree(a, b, free)
			if !ok {
				free[j] = false
				return x
			}
			if step := reach(x, z, free); step < 1 {
				for i := range x {
					if x[i] += step * (z[i] - x[i]); free[i] && x[i] <= 1e-12 {
						x[i], free[i] = 0, false
					}
				}
				continue
			}
			x = z
			break
		}
	}
	return x
}

// steepest returns the column held at 0 along which the misfit falls most, -1 if
// it falls along none.
func steepest(a *mat.Dense, b *mat.VecDense, x []float64, free []bool) int {
	var rest, w mat.VecDense
	rest.MulVec(a, mat.NewVecDense(len(x), x))
	rest.SubVec(b, &rest)
	w.MulVec(a.T(), &rest)
	best, at := 1e-10*(1+mat.Norm(a, 2)*mat.Norm(b, 2)), -1
	for j := range x {
		if !free[j] && w.AtVec(j) > best {
			best, at = w.AtVec(j), j
		}
	}
	return at
}

// solveFree returns the least squares over the free columns, 0 in the others,
// and false when these do not decide it.
func solveFree(a *mat.Dense, b *mat.VecDense, free []bool) ([]float64, bool) {
	rows, n := a.Dims()
	var columns []int
	for j := range n {
		if free[j] {
			columns = append(columns, j)
		}
	}
	if len(columns) > rows {
		return nil, false
	}
	part := mat.NewDense(rows, len(columns), nil)
	for i, j := range columns {
		part.SetCol(i, mat.Col(nil, j, a))
	}
	var z mat.VecDense
	if err := z.SolveVec(part, b); err != nil {
		return nil, false
	}
	out := make([]float64, n)
	for i, j := range columns {
		out[j] = z.AtVec(i)
	}
	return out, true
}

// reach returns how far from x to z one can go before a free value falls below
// 0: 1 for all the way.
func reach(x, z []float64, free []bool) float64 {
	step := 1.0
	for i := range x {
		if free[i] && z[i] <= 0 {
			step = min(step, x[i]/(x[i]-z[i]+1e-300))
		}
	}
	return step
}
