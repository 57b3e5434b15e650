package calibrate

import (
	"math"

	"evenhide/colour"

	"gonum.org/v1/gonum/mat"
)

// Curve undoes one channel's tone curve: from the value the camera wrote, in
// linear light as the file's profile has it, to the reflectance that a neutral
// must have had to be written so. It is a cubic in log-log, less the veiling
// flare: reflectance = exp(p(log value)) - flare. Beyond the steps it was fitted
// to it goes on straight in log-log, and below a quarter of the darkest straight
// towards -flare, so that it is smooth and rising everywhere, at 0 and below too.
type Curve struct {
	coef     [4]float64 // of the Legendre polynomials over the fitted range
	lo, hi   float64    // log of the darkest and the brightest value fitted
	flare    float64    // reflectance
	toe      float64    // value under which the curve is a straight line
	toeSlope float64
}

// At returns the reflectance, 1 for a perfect white, of value v. Values below
// what flare alone gives come back negative.
func (c Curve) At(v float64) float64 {
	if v < c.toe {
		return c.toeSlope*v - c.flare
	}
	return math.Exp(c.logAt(math.Log(v))) - c.flare
}

// logAt is the polynomial with straight ends.
func (c Curve) logAt(u float64) float64 {
	inside := min(max(u, c.lo), c.hi)
	value := 0.0
	for i, b := range legendre(c.unit(inside)) {
		value += c.coef[i] * b
	}
	return value + c.slopeAt(inside)*(u-inside)
}

// slopeAt is the polynomial's log-log slope.
func (c Curve) slopeAt(u float64) float64 {
	x := c.unit(u)
	return (c.coef[1] + 3*c.coef[2]*x + c.coef[3]*(15*x*x-3)/2) * 2 / (c.hi - c.lo)
}

// unit maps the fitted range to -1..1.
func (c Curve) unit(u float64) float64 { return 2*(u-c.lo)/(c.hi-c.lo) - 1 }

func legendre(x float64) [4]float64 {
	return [4]float64{1, x, (3*x*x - 1) / 2, (5*x*x - 3) * x / 2}
}

// rising reports whether the curve rises over the whole fitted range with a
// log-log slope that a camera can have.
func (c Curve) rising() bool {
	const leastSlope, mostSlope, probes = 0.2, 5, 16 // generous: phones keep within 0.5..2
	for i := range probes + 1 {
		s := c.slopeAt(c.lo + (c.hi-c.lo)*float64(i)/probes)
		if !(s >= leastSlope && s <= mostSlope) {
			return false
		}
	}
	return true
}

// fitCurve fits values to the reflectances they stand for, all positive, so that
// the squared errors in L* are least, to first order: what is wrong with a step,
// its print or its light, is about as large in L* in the dark as in the light. It
// returns with the curve by how much each step, and then each pair, is missed by the
// curve through the others, over what it is known to.
//
// Each step counts as known give or take 2 L*. The log-log slope is held to 1,
// but loosely, so that a single step gives proportion; bends, the quadratic and
// the cubic, are held to 0 give or take bend, in log reflectance at the ends of
// the range.
func fitCurve(values, reflectances []float64, pairs []pair, bend, flare float64) (c Curve, leftOut []float64, ok bool) {
	const slopeSlack = 0.5
	c = Curve{lo: math.Inf(1), hi: math.Inf(-1), flare: flare}
	for _, v := range values {
		c.lo, c.hi = min(c.lo, math.Log(v)), max(c.hi, math.Log(v))
	}
	if c.hi-c.lo < 1 { // one step, or steps too close to span a curve
		c.lo, c.hi = c.lo-.5, c.hi+.5
	}
	perUnit := 2 / (c.hi - c.lo)
	normal := mat.NewSymDense(4, []float64{
		0, 0, 0, 0,
		0, perUnit * perUnit / (slopeSlack * slopeSlack), 0, 0,
		0, 0, 1 / (bend * bend), 0,
		0, 0, 0, 1 / (bend * bend)})
	right := mat.NewVecDense(4, []float64{0, perUnit / (slopeSlack * slopeSlack), 0, 0})
	var rows []*mat.VecDense
	var wanted []float64
	add := func(basis [4]float64, log, weight float64) {
		row := mat.NewVecDense(4, basis[:])
		row.ScaleVec(weight, row)
		rows, wanted = append(rows, row), append(wanted, weight*log)
		normal.SymRankOne(normal, 1, row)
		right.AddScaledVec(right, weight*log, row)
	}
	for i, v := range values {
		lit := reflectances[i] + flare
		add(legendre(c.unit(math.Log(v))), math.Log(lit), lightnessSlope(reflectances[i])*lit/stepL)
	}
	for _, p := range pairs {
		lit := reflectances[p.step] + flare
		add(p.basis(&c), 0, 1/math.Hypot(p.doubt, pairL/(lightnessSlope(reflectances[p.step])*lit)))
	}
	var factor mat.Cholesky
	var coef, moved mat.VecDense
	if !factor.Factorize(normal) || factor.SolveVecTo(&coef, right) != nil {
		return Curve{}, nil, false
	}
	copy(c.coef[:], coef.RawVector().Data)
	for i, row := range rows {
		if factor.SolveVecTo(&moved, row) != nil {
			return Curve{}, nil, false
		}
		leverage := mat.Dot(row, &moved) // of a step on its own prediction
		leftOut = append(leftOut, (mat.Dot(row, &coef)-wanted[i])/(1-leverage))
	}
	return c.withToe(), leftOut, true
}

// How well the steps are known, in L*: each alone, as printers miss them, and two of
// one print against each other, but for the light on them.
const stepL, pairL = 2.0, 0.4

// pair is one printed grey in two places. What is wrong with the print cancels, and
// the light there is known from the sheet: by the same curve, at the sheet's own
// brightness. So a pair tells how steep the curve is at the grey's brightness against
// how steep it is at the sheet's.
type pair struct {
	step        int        // among the values
	doubt       float64    // log light: how far the ratio of the sheet's light may be off
	grey, sheet [2]float64 // log of what the camera wrote, in both places
}

// basis returns what is 0 for the right curve: the log ratio of the greys' light less
// that of the sheet's, by the curve's polynomials.
func (p pair) basis(c *Curve) (out [4]float64) {
	for side, sign := range [2]float64{1, -1} {
		grey, sheet := c.straight(p.grey[side]), c.straight(p.sheet[side])
		for i := range out {
			out[i] += sign * (grey[i] - sheet[i])
		}
	}
	return out
}

// straight returns the polynomials at u, going on straight beyond the fitted range.
func (c *Curve) straight(u float64) [4]float64 {
	inside := min(max(u, c.lo), c.hi)
	x := c.unit(inside)
	beyond := 2 / (c.hi - c.lo) * (u - inside)
	out := legendre(x)
	for i, slope := range [4]float64{0, 1, 3 * x, (15*x*x - 3) / 2} {
		out[i] += slope * beyond
	}
	return out
}

// turned returns the curve with its log-log slope multiplied by k, about the
// middle of its range.
func (c Curve) turned(k float64) Curve {
	c.coef[1] *= k
	return c.withToe()
}

func (c Curve) withToe() Curve {
	const toeShare = 0.25 // of the darkest value fitted
	c.toe = toeShare * math.Exp(c.lo)
	c.toeSlope = math.Exp(c.logAt(math.Log(c.toe))) / c.toe
	return c
}

// lightnessSlope is dL*/dY at reflectance y.
func lightnessSlope(y float64) float64 {
	const h = 1e-4
	return (colour.Lightness(y*(1+h)) - colour.Lightness(y*(1-h))) / (2 * h * y)
}
