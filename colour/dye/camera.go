package dye

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// A camera does not see as the eye does: two colours that are as far apart to both
// are rare. What it makes of a spectrum hangs on its sensors, on the light and on the
// matrix that it takes for that light. Of any one photo none of them is known; but
// all are smooth and of a kind, and so many are drawn, and what they see other than
// the eye is what a photo may show.

// ways is in how many ways that do not hang together a camera is let differ: what is
// left then is under 1 % of the variance.
const ways = 16

// lens is what the tristimulus values in a photo are made of: weights of each
// sample, as eye has them, and by how much each of the ways changes them, by one
// standard deviation.
type lens struct {
	usual [samples][3]float64
	ways  [ways][samples][3]float64
}

// weights returns those of a camera that is so many deviations off in each way.
func (l *lens) weights(x []float64) [samples][3]float64 {
	out := l.usual
	for k := range l.ways {
		for i, w := range l.ways[k] {
			for c, v := range w {
				out[i][c] += x[k] * v
			}
		}
	}
	return out
}

// newLens draws cameras and lights, and returns their principal components.
func newLens(e *eye) (out lens) {
	const draws, entries = 400, 3 * samples
	wanted := mat.NewDense(samples, 3, nil)
	for i, w := range e.weights {
		wanted.SetRow(i, w[:])
	}
	likely := chart()
	d := draw{rand.New(rand.NewPCG(1, 1))}
	seen := mat.NewDense(entries, draws, nil)
	for n := range draws {
		light, taken := d.light()
		s := d.sensors()
		var got mat.Dense
		got.Mul(balanced(s, light), develop(balanced(s, taken), wanted, likely))
		seen.SetCol(n, got.RawMatrix().Data)
	}
	for r := range entries {
		row := seen.RawRowView(r)
		mean := 0.0
		for _, v := range row {
			mean += v / draws
		}
		out.usual[r/3][r%3] = mean
		for n := range row {
			row[n] = (row[n] - mean) / math.Sqrt(draws)
		}
	}
	var svd mat.SVD
	svd.Factorize(seen, mat.SVDThin)
	var u mat.Dense
	svd.UTo(&u)
	// Cameras are unlike those drawn, too: with this, measured ones in measured lights
	// differ by one standard deviation, as a root mean square over the ways.
	const unlike = 1.1
	sd := svd.Values(nil)
	for k := range out.ways {
		for r := range entries {
			out.ways[k][r/3][r%3] = unlike * sd[k] * u.At(r, k)
		}
	}
	return out
}

// balanced returns what each sensor makes of each sample in a light, balanced for
// white.
func balanced(sensors [3]spectrum, light spectrum) *mat.Dense {
	out := mat.NewDense(samples, 3, nil)
	for c, s := range sensors {
		sum := 0.0
		for i := range s {
			s[i] *= light[i]
			sum += s[i]
		}
		for i, v := range s {
			out.Set(i, c, v/sum)
		}
	}
	return out
}

// chart returns the mean products of the reflectances of a chart's colours at any two
// samples: 0.3 on average, 0.2 more or less, and smooth over 60 nm.
func chart() *mat.Dense {
	const mean, sd, length = .3, .2, 60
	out := mat.NewDense(samples, samples, nil)
	for i := range samples {
		for j := range samples {
			t := 10 * float64(i-j) / length
			out.Set(i, j, sd*sd*math.Exp(-t*t/2)+mean*mean)
		}
	}
	return out
}

// develop returns the 3×3 matrix by which the sensors' values of a chart come closest
// to those wanted and white's become right: least squares with three conditions.
func develop(raw, wanted, likely *mat.Dense) *mat.Dense {
	var seen, squares, products mat.Dense
	seen.Mul(likely, raw)
	squares.Mul(raw.T(), &seen)
	products.Mul(seen.T(), wanted)
	a, b := mat.NewDense(4, 4, nil), mat.NewDense(4, 3, nil)
	for i := range 3 {
		a.Set(i, 3, 1)
		a.Set(3, i, 1)
		b.Set(3, i, mat.Sum(wanted.ColView(i)))
		for j := range 3 {
			a.Set(i, j, squares.At(i, j))
			b.Set(i, j, products.At(i, j))
		}
	}
	var x mat.Dense
	if x.Solve(a, b) != nil {
		return mat.NewDense(3, 3, nil) // no three sensors alike are drawn
	}
	return mat.DenseCopyOf(x.Slice(0, 3, 0, 3))
}
