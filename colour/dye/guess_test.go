package dye

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// Numbers that follow others have the mean and the covariance that the whole Jacobian
// gives them, and leave the others as they were.
func TestFollow(t *testing.T) {
	const n, m, step = 5, 3, 1e-5
	moves := []int{1, 3, 4}
	f := func(x []float64) []float64 {
		return []float64{math.Log(math.Exp(x[1]) + .3*math.Exp(x[3])), x[3] * x[4], .7*x[1] - math.Sin(x[4])}
	}
	rapid.Check(t, func(rt *rapid.T) {
		number := func(name string) float64 { return float64(rapid.IntRange(-8, 8).Draw(rt, name)) / 8 }
		before := even(n, 0, .5)
		root := mat.NewDense(n, n, nil)
		for i := range n {
			before.mean[i] = number("mean")
			for j := range n {
				root.Set(i, j, number("root"))
			}
		}
		before.cov.Mul(root, root.T())
		own := even(m, .1, .2)
		got := before.with(own)
		got.follow(f, moves, n)

		whole := mat.NewDense(m, n, nil) // by differences to both sides, of every number
		for i := range n {
			up, down := slices.Clone(before.mean), slices.Clone(before.mean)
			up[i], down[i] = up[i]+step, down[i]-step
			for k, v := range f(up) {
				whole.Set(k, i, (v-f(down)[k])/2/step)
			}
		}
		var cross, cov mat.Dense
		cross.Mul(whole, before.cov)
		cov.Mul(&cross, whole.T())
		cov.Add(&cov, own.cov)
		same := func(what string, got, want float64) {
			const oneSided = 1e-3 // the slope by a step of 1e-4 to one side, times variances of up to 5
			if !(math.Abs(got-want) <= oneSided*(1+math.Abs(want))) {
				rt.Fatalf("%s is %g, want %g", what, got, want)
			}
		}
		for k, v := range f(before.mean) {
			same(fmt.Sprint("mean ", k), got.mean[n+k], v+.1)
			for i := range n {
				same(fmt.Sprint("covariance ", k, i), got.cov.At(n+k, i), cross.At(k, i))
				same(fmt.Sprint("covariance ", i, k), got.cov.At(i, n+k), cross.At(k, i))
			}
			for l := range m {
				same(fmt.Sprint("covariance of its own ", k, l), got.cov.At(n+k, n+l), cov.At(k, l))
			}
		}
		if first := got.first(n); !slices.Equal(first.mean, before.mean) || !mat.Equal(first.cov, before.cov) {
			rt.Fatalf("the others are %v, were %v", first, before)
		}
	})
}
