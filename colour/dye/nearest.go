package dye

import (
	"gonum.org/v1/gonum/mat"

	"evenhide/colour"
)

// Nearest is the closest that the bottles come to a target in any amounts.
type Nearest struct {
	Amounts []float64 // of each bottle, as fractions; what is missing to 1 is water
	Prediction
	DE    float64 // ΔE00 from the target
	Words colour.Words
}

// start returns the bottles' fractions that come closest to the target's tristimulus
// values, as these move with K/S about a blend, with water making up 1.
func (s *search) start(about []float64) []float64 {
	n := len(s.names)
	ks := s.blended(about)
	a, b := mat.NewDense(4, n+1, nil), mat.NewVecDense(4, nil)
	target := colour.LabToXYZ(s.target, s.white)
	now := colour.LabToXYZ(s.lab(&ks), s.white)
	for c, want := range [3]float64{target.X - now.X, target.Y - now.Y, target.Z - now.Z} {
		for k, v := range ks {
			r := Reflectance(v)
			slope := -2 * r * r / (1 - r*r) * s.eye.weights[k][c] // of reflectance with K/S
			for i := range n {
				a.Set(c, i, a.At(c, i)+slope*s.plain[i][k])
				want += about[i] * slope * s.plain[i][k]
			}
		}
		b.SetVec(c, want)
	}
	const bound = 1e3 // so heavy that the amounts make up 1 to a part in a million
	for i := range n + 1 {
		a.Set(3, i, bound)
	}
	b.SetVec(3, bound)
	x := nonNegative(a, b)
	total := 0.0
	for _, v := range x {
		total += v
	}
	for i := range x {
		x[i] /= max(total, 1)
	}
	return x[:n]
}

// nearest returns the closest amounts by ΔE00: from the better of two starts,
// the closest by least squares and the best whole parts, by passing ever smaller
// amounts from one bottle to another, or to and from the water, while that helps.
func (s *search) nearest(whole counted) Nearest {
	n := len(s.names)
	x := s.fractions(whole)
	if near := s.start(x); s.distance(near) < s.distance(x) {
		x = near
	}
	x = append(x, 1) // and the water
	for _, v := range x[:n] {
		x[n] -= v
	}
	best := s.distance(x[:n])
	for step := .1; step > 1e-4; step /= 2 {
		for round, moved := 0, true; moved && round < 20; round++ {
			moved = false
			for i := range n + 1 {
				for j := range n + 1 {
					d := min(step, x[i])
					if i == j || d <= 0 {
						continue
					}
					x[i], x[j] = x[i]-d, x[j]+d
					if de := s.distance(x[:n]); de < best {
						best, moved = de, true
					} else {
						x[i], x[j] = x[i]+d, x[j]-d
					}
				}
			}
		}
	}
	out := Nearest{Amounts: x[:n], Prediction: s.predict(x[:n]), DE: best}
	out.Words = colour.InWords(s.target, out.Lab, s.weights)
	return out
}

func (s *search) distance(amounts []float64) float64 {
	return colour.DeltaE2000(s.target, s.colour(amounts), s.weights)
}
