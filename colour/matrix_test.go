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
