package calibrate

import (
	"fmt"
	"math"
	"slices"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

// Calibration undoes a photo's tone curve and white balance: it turns the linear
// colour that the file holds into reflectance, 1,1,1 for a perfect white, in the
// working space.
type Calibration struct {
	Method string        // in words
	Steps  []StepReading // from dark to light
	// LeftOut is the root mean square, in L*, by which a step is missed by the
	// curve through the others; NaN with a single step.
	LeftOut  float64
	Warnings []string

	channels [3]Curve
	// others are the calibrations that the same photo might as well have given,
	// each with the share of its difference that is one standard uncertainty.
	others []variant
}

type variant struct {
	channels [3]Curve
	share    float64
}

// Fit reads the steps in f and fits the curves. Steps that cannot be right are
// left out and say why; when none is left the error is of kind ErrGrey.
//
// Per channel the curve is a damped cubic in log-log with the scene's veiling
// flare taken off; how stiff it is and how much flare there was is decided by how
// well left-out steps are predicted, all three channels together.
func Fit(f *colour.Field, steps []Step) (*Calibration, error) {
	readings, err := readSteps(f, steps)
	if err != nil {
		return nil, err
	}
	c := &Calibration{Steps: readings, LeftOut: math.NaN()}
	s := newSamples(used(readings))
	if len(s.reflectances) == 1 {
		c.fitOne(s)
	} else if err := c.fitMany(s); err != nil {
		return nil, err
	}
	c.report()
	return c, nil
}

// samples are what the used steps say: per channel the value that each
// reflectance was written as.
type samples struct {
	values       [3][]float64
	reflectances []float64
}

func newSamples(steps []*StepReading) samples {
	var s samples
	for _, r := range steps {
		for k, v := range [3]float64{r.Mean.R, r.Mean.G, r.Mean.B} {
			s.values[k] = append(s.values[k], v)
		}
		s.reflectances = append(s.reflectances, colour.Luminance(r.L))
	}
	return s
}

// without returns the samples less the i-th step.
func (s samples) without(i int) samples {
	cut := func(v []float64) []float64 { return append(append([]float64{}, v[:i]...), v[i+1:]...) }
	return samples{[3][]float64{cut(s.values[0]), cut(s.values[1]), cut(s.values[2])}, cut(s.reflectances)}
}

// model is what is chosen by leaving steps out.
type model struct{ bend, flare float64 }

// fit returns the channels' curves, and false when one cannot be had or falls.
// Fewer than two different steps give gain alone.
func (s samples) fit(m model) (channels [3]Curve, ok bool) {
	for k, values := range s.values {
		if len(values) == 1 {
			channels[k] = powerCurve(values[0], s.reflectances[0], 1)
			continue
		}
		channels[k], ok = fitCurve(values, s.reflectances, m.bend, m.flare)
		if !ok || !channels[k].rising() {
			return channels, false
		}
	}
	return channels, true
}

// leftOut returns the root mean square error in L* of steps predicted by the
// others, over all channels; infinite when a curve cannot be had.
func (s samples) leftOut(m model) float64 {
	sum, n := 0.0, 0
	for i, y := range s.reflectances {
		channels, ok := s.without(i).fit(m)
		if !ok {
			return math.Inf(1)
		}
		for k, c := range channels {
			e := colour.Lightness(c.At(s.values[k][i])) - colour.Lightness(y)
			sum, n = sum+e*e, n+1
		}
	}
	return math.Sqrt(sum / float64(n))
}

// choose returns the stiffest model with the least flare that predicts left-out
// steps nearly as well as the best one does, and its error in L*. Nearly: within
// a quarter, about one standard error of such a figure from six steps. On real
// charts that beat every fixed degree and the best model outright: those follow
// the unevenness of the light along the steps and take it for tone.
func (s samples) choose() (model, float64) {
	const nearly = 1.25
	flares := []float64{0, .0025, .005, .01, .015, .02, .03}
	if len(s.reflectances) < 4 {
		flares = flares[:1] // offset, slope and flare would leave nothing to test them
	}
	var tried []model
	var errs []float64
	for _, flare := range flares {
		for _, bend := range []float64{.03, .05, .07, .1, .15, .2, .4, 1} {
			m := model{bend, flare}
			tried, errs = append(tried, m), append(errs, s.leftOut(m))
		}
	}
	best := slices.Min(errs)
	i := slices.IndexFunc(errs, func(e float64) bool { return e <= nearly*best })
	return tried[i], errs[i]
}

// fitMany fits two steps or more. The other calibrations are those with one step
// left out: the jackknife's, whose spread is the curve's uncertainty.
func (c *Calibration) fitMany(s samples) error {
	m, err := s.choose()
	channels, ok := s.fit(m)
	if !ok {
		return refusal.New(ErrGrey, "check which --grey place has which L*, and that they lie in the same light",
			"the grey steps fit no tone curve that a camera has")
	}
	c.channels, c.LeftOut = channels, err
	n := len(s.reflectances)
	for i := range n {
		if other, ok := s.without(i).fit(m); ok {
			c.others = append(c.others, variant{other, math.Sqrt(float64(n-1) / float64(n))})
		}
	}
	c.Method = fmt.Sprintf("tone curve through %d grey steps", n)
	if m.flare > 0 {
		c.Method += fmt.Sprintf(", flare %.2g %%", 100*m.flare)
	}
	return nil
}

// fitOne takes the gain from a single step. How far a phone's tone curve may be
// from none is the uncertainty.
func (c *Calibration) fitOne(s samples) {
	c.channels, _ = s.fit(model{})
	// Log-log slopes of phones' curves about mid grey; from the deviation between
	// six steps and one on real charts.
	const slopeUncertainty = 0.2
	bent := c.channels
	for k, v := range s.values {
		bent[k] = powerCurve(v[0], s.reflectances[0], 1+slopeUncertainty)
	}
	c.others = []variant{{bent, 1}}
	c.Method = "one grey step, gain only"
	c.Warnings = append(c.Warnings, "the tone curve is assumed: give more grey steps for better numbers")
}

// report fills in the residuals and the warnings.
func (c *Calibration) report() {
	for i := range c.Steps {
		r := &c.Steps[i]
		if !r.Used {
			c.Warnings = append(c.Warnings, fmt.Sprintf("grey step L* %g left out: %s", r.L, r.Why))
			continue
		}
		r.Residual = colour.Lightness(luma(c.develop(c.channels, r.Mean))) - r.L
	}
	const mostLeftOut = 3.0 // L*: a good print in even light stays well under
	if c.LeftOut > mostLeftOut {
		c.Warnings = append(c.Warnings, fmt.Sprintf(
			"the grey steps disagree by %.1f L*: uneven light along them, or L* values of another card", c.LeftOut))
	}
}

// Develop returns the reflectance, 1,1,1 for a perfect white, that the colour v
// of the photo's field stands for.
func (c *Calibration) Develop(v colour.LinearRGB) colour.LinearRGB { return c.develop(c.channels, v) }

func (c *Calibration) develop(curves [3]Curve, v colour.LinearRGB) colour.LinearRGB {
	return colour.LinearRGB{R: curves[0].At(v.R), G: curves[1].At(v.G), B: curves[2].At(v.B)}
}

// Lab returns the CIELAB colour (D65, 2°) that v stands for.
func (c *Calibration) Lab(v colour.LinearRGB) colour.Lab { return lab(c.Develop(v)) }

// Shifts returns, for each source of uncertainty of the calibration, how far the
// Lab of v moves by one standard uncertainty of it: in the same order for every
// v, so that differences of two colours of one photo can tell what they share.
func (c *Calibration) Shifts(v colour.LinearRGB) []colour.Lab {
	here := c.Lab(v)
	var out []colour.Lab
	for _, o := range c.others {
		there := lab(c.develop(o.channels, v))
		out = append(out, colour.Lab{
			L: o.share * (there.L - here.L), A: o.share * (there.A - here.A), B: o.share * (there.B - here.B)})
	}
	return out
}

func lab(v colour.LinearRGB) colour.Lab {
	return colour.XYZToLab(colour.WorkingSpace().XYZ(v), colour.D65())
}
