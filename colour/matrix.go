package colour

import "math"

// Matrix is a 3×3 matrix in row order.
type Matrix [3][3]float64

// Identity returns the matrix that changes nothing.
func Identity() Matrix { return Diagonal(1, 1, 1) }

// Diagonal returns the matrix with a, b, c on its diagonal and 0 elsewhere.
func Diagonal(a, b, c float64) Matrix { return Matrix{{a}, {0, b}, {0, 0, c}} }

// Outer returns v·vᵀ: the covariance of what moves along v by one standard
// uncertainty.
func Outer(v [3]float64) Matrix {
	var m Matrix
	for i := range m {
		for j := range m {
			m[i][j] = v[i] * v[j]
		}
	}
	return m
}

// Scale returns k·m.
func (m Matrix) Scale(k float64) Matrix {
	for i := range m {
		for j := range m {
			m[i][j] *= k
		}
	}
	return m
}

// Apply returns m·v.
func (m Matrix) Apply(v [3]float64) [3]float64 {
	var out [3]float64
	for i, row := range m {
		out[i] = row[0]*v[0] + row[1]*v[1] + row[2]*v[2]
	}
	return out
}

// Mul returns the product m·n, which applies n first.
func (m Matrix) Mul(n Matrix) Matrix {
	var out Matrix
	for i := range m {
		for j := range m {
			out[i][j] = m[i][0]*n[0][j] + m[i][1]*n[1][j] + m[i][2]*n[2][j]
		}
	}
	return out
}

// Add returns the sum of m and n.
func (m Matrix) Add(n Matrix) Matrix {
	for i := range m {
		for j := range m {
			m[i][j] += n[i][j]
		}
	}
	return m
}

// Carry returns m·cov·mᵀ: the covariance of m·v when that of v is cov.
func (m Matrix) Carry(cov Matrix) Matrix {
	var t Matrix
	for i := range m {
		for j := range m {
			t[i][j] = m[j][i]
		}
	}
	return m.Mul(cov).Mul(t)
}

// Root returns the lower triangle whose product with its transpose is m, a
// covariance (Cholesky). A direction in which m has no more than 1e-12 of its
// variance has a column of zeros.
func (m Matrix) Root() Matrix {
	var l Matrix
	negligible := 1e-12 * (m[0][0] + m[1][1] + m[2][2])
	for i := range l {
		for j := range i + 1 {
			rest := m[i][j]
			for k := range j {
				rest -= l[i][k] * l[j][k]
			}
			switch {
			case i == j && rest > negligible:
				l[i][i] = math.Sqrt(rest)
			case i != j && l[j][j] > 0:
				l[i][j] = rest / l[j][j]
			}
		}
	}
	return l
}

// Inverse returns the inverse of m and whether it has one. A matrix whose
// determinant is under 1e-9 of the product of its rows' lengths counts as
// having none.
func (m Matrix) Inverse() (Matrix, bool) {
	var cof Matrix
	for i := range m {
		for j := range m {
			a, b, c, d := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
			cof[j][i] = m[a][c]*m[b][d] - m[a][d]*m[b][c]
		}
	}
	det := m[0][0]*cof[0][0] + m[0][1]*cof[1][0] + m[0][2]*cof[2][0]
	size := 1.0
	for _, r := range m {
		size *= math.Sqrt(r[0]*r[0] + r[1]*r[1] + r[2]*r[2])
	}
	if !(math.Abs(det) > 1e-9*size) {
		return Matrix{}, false
	}
	for i := range cof {
		for j := range cof {
			cof[i][j] /= det
		}
	}
	return cof, true
}
