package dye

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// By hand. Unbounded, x = (2, -1) solves it; held at 0, the second leaves the
// first to (1·1 + 1·2)/(1² + 1²) = 1.5... of rows (1,1), (1,0).
func TestNonNegativeByHand(t *testing.T) {
	a := mat.NewDense(2, 2, []float64{1, 1, 1, 0})
	x := nonNegative(a, mat.NewVecDense(2, []float64{1, 2}))
	near(t, "first", x[0], 1.5, rounding)
	near(t, "second", x[1], 0, 0)
	x = nonNegative(a, mat.NewVecDense(2, []float64{3, 2}))
	near(t, "inside, first", x[0], 2, rounding)
	near(t, "inside, second", x[1], 1, rounding)
	x = nonNegative(a, mat.NewVecDense(2, []float64{-1, -2}))
	near(t, "all out", x[0]+x[1], 0, 0)
}

// What marks the solution (Karush, Kuhn, Tucker): nothing negative, no way down
// along a column that is at 0, and level along the others. Hence it is never
// worse than the best single column.
func TestNonNegativeIsLeast(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(rt, "n")
		value := rapid.Map(rapid.IntRange(-200, 500), func(i int) float64 { return float64(i) / 100 }) // 1e-10 among 1s is not a dab
		a, b := mat.NewDense(4, n, nil), mat.NewVecDense(4, nil)
		for i := range 4 {
			b.SetVec(i, value.Draw(rt, "b"))
			for j := range n {
				a.Set(i, j, value.Draw(rt, "a"))
			}
		}
		x := nonNegative(a, b)
		misfit := func(x []float64) float64 {
			var r mat.VecDense
			r.MulVec(a, mat.NewVecDense(n, x))
			r.SubVec(b, &r)
			return mat.Norm(&r, 2)
		}
		const float = 1e-6
		var rest, down mat.VecDense
		rest.MulVec(a, mat.NewVecDense(n, x))
		rest.SubVec(b, &rest)
		down.MulVec(a.T(), &rest)
		for j := range x {
			if w := down.AtVec(j); w > float || x[j] > 0 && w < -float {
				rt.Fatalf("%v: the misfit still falls along %d by %g", x, j, w)
			}
			if x[j] < 0 || math.IsNaN(x[j]) {
				rt.Fatalf("%v", x)
			}
			alone := make([]float64, n)
			col := a.ColView(j)
			if square := mat.Dot(col, col); square > 1e-9 {
				alone[j] = max(0, mat.Dot(col, b)/square)
			}
			if misfit(x) > misfit(alone)+float {
				rt.Fatalf("%v misses by %g, %v by %g", x, misfit(x), alone, misfit(alone))
			}
		}
	})
}
