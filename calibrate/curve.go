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

// fitCurve fits two values or more to the reflectances they stand for, all
// positive, so that the squared errors in L* are least, to first order: what is
// wrong with a step, its print or its light, is about as large in L* in the dark
// as in the light. Bends, the quadratic and the cubic, are damped as if they were
// known to be 0 give or take bend, in log reflectance at the ends of the range,
// and each step give or take 2 L*. It is false when the values are all one.
func fitCurve(values, reflectances []float64, bend, flare float64) (Curve, bool) {
	const stepL = 2.0
	n := len(values)
	c := Curve{lo: math.Inf(1), hi: math.Inf(-1), flare: flare}
	for _, v := range values {
		c.lo, c.hi = min(c.lo, math.Log(v)), max(c.hi, math.Log(v))
	}
	a, y := mat.NewDense(n+2, len(c.coef), nil), mat.NewVecDense(n+2, nil)
	for i, v := range values {
		lit := reflectances[i] + flare
		weight := lightnessSlope(reflectances[i]) * lit / stepL
		for j, b := range legendre(c.unit(math.Log(v))) {
			a.Set(i, j, weight*b)
		}
		y.SetVec(i, weight*math.Log(lit))
	}
	a.Set(n, 2, 1/bend)
	a.Set(n+1, 3, 1/bend)
	var coef mat.VecDense
	if c.lo == c.hi || coef.SolveVec(a, y) != nil {
		return Curve{}, false
	}
	copy(c.coef[:], coef.RawVector().Data)
	return c.withToe(), true
}

// powerCurve is the curve of one step: a power of the value, 1 where nothing is
// known of the tone curve, that meets the step.
func powerCurve(value, reflectance, power float64) Curve {
	u := math.Log(value)
	c := Curve{lo: u - 1, hi: u + 1}
	c.coef = [4]float64{math.Log(reflectance), power}
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
