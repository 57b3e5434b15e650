package colour

// bradford returns the Bradford matrix from XYZ to sharpened cone responses, to
// the four decimals it is defined with (Lam 1985 and ICC.1:2022, annex E, from
// memory; seen in colour-science's adaptation/datasets/cat.py).
func bradford() Matrix {
	return Matrix{
		{0.8951, 0.2664, -0.1614},
		{-0.7502, 1.7135, 0.0367},
		{0.0389, -0.0685, 1.0296},
	}
}

// Adaptation returns the matrix that takes XYZ seen under the white from to the
// XYZ that looks the same under the white to: the Bradford transform in its
// linear form, which ICC profiles use too. It takes from exactly onto to. Both
// whites must be of real lights, with X, Y and Z above 0.
func Adaptation(from, to White) Matrix {
	cone := bradford()
	back, _ := cone.Inverse() // a constant with determinant 0.99
	f := cone.Apply([3]float64{from.X, from.Y, from.Z})
	t := cone.Apply([3]float64{to.X, to.Y, to.Z})
	return back.Mul(Diagonal(t[0]/f[0], t[1]/f[1], t[2]/f[2])).Mul(cone)
}
