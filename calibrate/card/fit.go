package card

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"evenhide/colour"
)

// fitted is a homography with how well the edges agree with it.
type fitted struct {
	toCells  colour.Matrix
	residual float64 // root mean square, in cells, of the edges kept
	seen     float64 // share of the edges that were seen and kept
}

// fourPoints returns the homography that takes each card point to its pixel, in
// the least-squares sense for more than four.
func fourPoints(from []Point, to []Pixel) (colour.Matrix, bool) {
	a, b := mat.NewDense(2*len(from), 8, nil), mat.NewVecDense(2*len(from), nil)
	for i, p := range from {
		x, y, u, v := float64(p.X), float64(p.Y), to[i].X, to[i].Y
		a.SetRow(2*i, []float64{x, y, 1, 0, 0, 0, -u * x, -u * y})
		a.SetRow(2*i+1, []float64{0, 0, 0, x, y, 1, -v * x, -v * y})
		b.SetVec(2*i, u)
		b.SetVec(2*i+1, v)
	}
	var h mat.VecDense
	if err := h.SolveVec(a, b); err != nil {
		return colour.Matrix{}, false
	}
	g := h.RawVector().Data
	return colour.Matrix{{g[0], g[1], g[2]}, {g[3], g[4], g[5]}, {g[6], g[7], 1}}, true
}

// measured is an edge as seen: its residual along the border's normal in the
// photo, and the derivative of the border's place by each of the nine unknowns.
type measured struct {
	residual float64
	row      [unknowns]float64
}

// The unknowns of a step: eight of the homography and how far ink spreads.
const unknowns = 9

// refine improves m, which maps millimetres to cells, from the edges seen, by
// Gauss-Newton steps with the outliers left out. Print that has grown or shrunk
// everywhere by the same width is fitted too and does not move the result.
func (l light) refine(m colour.Matrix, edges []edge, steps int) (fitted, bool) {
	best := fitted{toCells: m}
	for range steps {
		seen := make([]measured, 0, len(edges))
		for _, e := range edges {
			if s, ok := l.measure(best.toCells, e); ok {
				seen = append(seen, s)
			}
		}
		if len(seen) < 4*unknowns {
			return best, false
		}
		step, kept, ok := solve(seen)
		if !ok {
			return best, false
		}
		best.seen = float64(kept.n) / float64(len(edges))
		best.residual = math.Sqrt(kept.squares / float64(kept.n))
		best.toCells = moved(best.toCells, step)
	}
	return best, finite(best.toCells)
}

func (l light) measure(m colour.Matrix, e edge) (measured, bool) {
	mm, ok := l.offset(m, e)
	if !ok {
		return measured{}, false
	}
	dx, dy := jacobian(m, e.at)
	// The border runs along (-ny, nx) on the card; its normal in the photo is
	// turned to the light side.
	tx, ty := -e.ny*dx.X+e.nx*dy.X, -e.ny*dx.Y+e.nx*dy.Y
	length := math.Hypot(tx, ty)
	ux, uy := ty/length, -tx/length
	nx, ny := e.nx*dx.X+e.ny*dy.X, e.nx*dx.Y+e.ny*dy.Y
	across := ux*nx + uy*ny // cells a millimetre across the border
	if across < 0 {
		ux, uy, across = -ux, -uy, -across
	}
	x, y := float64(e.at.X)/cardW, float64(e.at.Y)/cardW
	p := project(m, e.at)
	w := m[2][0]*float64(e.at.X) + m[2][1]*float64(e.at.Y) + m[2][2]
	along := ux*p.X + uy*p.Y
	return measured{residual: mm * across, row: [unknowns]float64{
		ux * x / w, ux * y / w, ux / w, uy * x / w, uy * y / w, uy / w, -along * x / w, -along * y / w, across}}, true
}

// moved returns m changed by the first eight unknowns of a step, in which the
// card's length is the unit.
func moved(m colour.Matrix, step []float64) colour.Matrix {
	for i, s := range step[:8] {
		if i%3 < 2 {
			s /= cardW
		}
		m[i/3][i%3] += s
	}
	return m
}

type kept struct {
	n       int
	squares float64
}

// Edges further off than outlierSpread robust standard deviations are left out;
// floorCells keeps a perfect picture from throwing away half of its edges.
const (
	outlierSpread = 3.5
	floorCells    = 0.08
)

// solve returns the least-squares step for the edges, and what was left of them
// after the outliers: those far from the step that the others ask for.
func solve(seen []measured) (_ []float64, k kept, ok bool) {
	step, limit := make([]float64, unknowns), math.Inf(1)
	for range 3 {
		if step, ok = normal(seen, step, limit); !ok {
			return nil, k, false
		}
		limit = outlierLimit(seen, step)
	}
	for _, s := range seen {
		if r := s.left(step); math.Abs(r) <= limit {
			k.n++
			k.squares += r * r
		}
	}
	return step, k, k.n > unknowns
}

// left returns the residual that a step leaves.
func (s *measured) left(step []float64) float64 {
	r := s.residual
	for i, v := range step {
		r -= v * s.row[i]
	}
	return r
}

func outlierLimit(seen []measured, step []float64) float64 {
	size := make([]float64, len(seen))
	centre := make([]float64, len(seen))
	for i := range seen {
		centre[i] = seen[i].left(step)
	}
	slices.Sort(centre)
	for i := range seen {
		size[i] = math.Abs(centre[i] - centre[len(centre)/2])
	}
	slices.Sort(size)
	return outlierSpread * max(1.4826*size[len(size)/2], floorCells) // 1.4826: median deviation to standard deviation
}

// normal solves the normal equations of the edges within limit of the last step.
func normal(seen []measured, last []float64, limit float64) ([]float64, bool) {
	a, b := mat.NewSymDense(unknowns, nil), mat.NewVecDense(unknowns, nil)
	sum, raw := a.RawSymmetric().Data, b.RawVector().Data
	for i := range seen {
		s := &seen[i]
		if math.Abs(s.left(last)) > limit {
			continue
		}
		for r := range unknowns {
			for c := r; c < unknowns; c++ {
				sum[r*unknowns+c] += s.row[r] * s.row[c]
			}
			raw[r] += s.row[r] * s.residual
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(a) {
		return nil, false
	}
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, b); err != nil {
		return nil, false
	}
	return x.RawVector().Data, true
}

func finite(m colour.Matrix) bool {
	sum := 0.0
	for _, row := range m {
		sum += row[0] + row[1] + row[2]
	}
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}
