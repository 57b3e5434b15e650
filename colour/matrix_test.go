package colour

import (
	"math"
	"testing"
)

func TestMatrixInverse(t *testing.T) {
	m := Matrix{{2, 0, 1}, {1, 3, 0}, {0, 1, 1}} // determinant 7, by hand
	inverse, ok := m.Inverse()
	if !ok {
		t.Fatal("no inverse")
	}
	want := Matrix{{3. / 7, 1. / 7, -3. / 7}, {-1. / 7, 2. / 7, 1. / 7}, {1. / 7, -2. / 7, 6. / 7}}
	nearMatrix(t, "inverse", inverse, want, 1e-15)
	nearMatrix(t, "product", m.Mul(inverse), Identity(), 1e-15)
}

func TestMatrixWithoutInverse(t *testing.T) {
	for name, m := range map[string]Matrix{
		"zero":      {},
		"two alike": {{1, 2, 3}, {1, 2, 3}, {0, 1, 1}},
		"NaN":       {{math.NaN()}, {0, 1}, {0, 0, 1}},
		"nearly":    {{1, 2, 3}, {1, 2, 3 + 1e-12}, {0, 1, 1}},
	} {
		if _, ok := m.Inverse(); ok {
			t.Errorf("%s: has an inverse", name)
		}
	}
	if _, ok := Diagonal(1e-6, 1e-6, 1e-6).Inverse(); !ok {
		t.Error("a small matrix is not a singular one")
	}
}

func TestMatrixAddAndCarry(t *testing.T) {
	m, n := Matrix{{2, 0, 1}, {1, 3, 0}, {0, 1, 1}}, Matrix{{1, 2, 3}, {4, 5, 6}, {7, 8, 9}}
	nearMatrix(t, "sum", m.Add(n), Matrix{{3, 2, 4}, {5, 8, 6}, {7, 9, 10}}, 0)
	// By hand: m·diagonal(1, 2, 3) is {2, 0, 3}, {1, 6, 0}, {0, 2, 3}, and its rows
	// times those of m are
	want := Matrix{{7, 2, 3}, {2, 19, 6}, {3, 6, 5}}
	nearMatrix(t, "carried", m.Carry(Diagonal(1, 2, 3)), want, 0)
	// A covariance that is no diagonal one: variances of 1, and ½ between the first two.
	// Var(2a+c) = 5, Cov(2a+c, a+3b) = 2+3 = 5, Var(a+3b) = 10+3 = 13, and so on.
	cov := Matrix{{1, .5, 0}, {.5, 1, 0}, {0, 0, 1}}
	nearMatrix(t, "carried", m.Carry(cov), Matrix{{5, 5, 2}, {5, 13, 3.5}, {2, 3.5, 2}}, 0)
}

func TestMatrixRoot(t *testing.T) {
	const rounding = 1e-12
	m := Matrix{{4, 2, -1}, {2, 5, 0.5}, {-1, 0.5, 2}}
	l := m.Root()
	nearMatrix(t, "l·lᵀ", l.Carry(Identity()), m, rounding)
	if l[0][1] != 0 || l[0][2] != 0 || l[1][2] != 0 {
		t.Errorf("no lower triangle: %v", l)
	}
	for _, c := range []struct{ m, want Matrix }{
		{Matrix{}, Matrix{}},
		{Matrix{{4, 4, 0}, {4, 4, 0}, {0, 0, 0}}, Matrix{{2, 0, 0}, {2, 0, 0}, {0, 0, 0}}},
		{Matrix{{0, 0, 0}, {0, 9, 3}, {0, 3, 2}}, Matrix{{0, 0, 0}, {0, 3, 0}, {0, 1, 1}}},
		// Rounding has taken the last variance a hair below 0.
		{Matrix{{1, 0, 1}, {0, 1, 0}, {1, 0, 1 - 1e-15}}, Matrix{{1, 0, 0}, {0, 1, 0}, {1, 0, 0}}},
	} {
		nearMatrix(t, "root", c.m.Root(), c.want, rounding)
	}
}
