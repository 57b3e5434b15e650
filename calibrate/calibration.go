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

	light    *Light        // nil is even
	field    *colour.Field // for its primaries
	back     colour.Matrix // from them to the working space
	channels [3]Curve      // of them
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
	return fit(f, readings, nil)
}

// In returns the calibration by the same steps in a light that is known to be
// uneven: each step is expected to be as much brighter or darker than its L* says
// as the light there is, and DevelopAt takes the light off again. The light's place
// of reference becomes the middle of the steps. A nil light is even.
func (c *Calibration) In(light *Light) (*Calibration, error) {
	return fit(c.field, slices.Clone(c.Steps), light)
}

func fit(f *colour.Field, readings []StepReading, light *Light) (*Calibration, error) {
	c := newCalibration(f, readings, light)
	s := c.samples()
	through := c.fitMany
	if s.len() == 1 {
		through = c.fitOne
	}
	if err := through(s); err != nil {
		return nil, err
	}
	c.report()
	return c, c.refuseCopies()
}

// ToneIn returns the tone curve, for the light on the sheet alone, that In would take
// if it also looked at how the ratio of two copies of one grey compares with that of
// the sheet beside them: in light as uneven as most, that tells how steep the curve is
// at one brightness against another better than a print that misses its greys. For
// colours it is not the better curve: a print misses alike in every photo of it, which
// cancels in what is compared, and the light is known differently well in each. False
// when the copies say nothing.
func (c *Calibration) ToneIn(light *Light) (tone func(colour.LinearRGB) colour.LinearRGB, ok bool) {
	out := newCalibration(c.field, slices.Clone(c.Steps), light)
	s := out.samples()
	s.pairs = out.pairs()
	if s.pairs[0] == nil {
		return nil, false
	}
	out.channels, _, _, ok = s.fit(s.choose())
	return out.Undo, ok
}

func newCalibration(f *colour.Field, readings []StepReading, light *Light) *Calibration {
	c := &Calibration{Steps: readings, LeftOut: math.NaN(), light: light.RelativeTo(middle(readings)), field: f, back: colour.Identity()}
	if f.Own != nil {
		c.back, _ = f.Own.Inverse() // of primaries that are independent
	}
	return c
}

// refuseCopies refuses greys of which copies in two places differ although the
// light there is known: then nobody knows which part of the scene is lit as which.
func (c *Calibration) refuseCopies() error {
	const most = 2.5 // L*: in one light copies differ by under 1, at a shadow's edge by 3 and more
	const dark = 40  // L*, below which noise does as much
	apart := 0.0
	for i := 1; i < len(c.Steps); i++ {
		if a, b := c.Steps[i-1], c.Steps[i]; a.L == b.L && a.L > dark && a.Used && b.Used {
			apart = max(apart, math.Abs(a.Residual-b.Residual))
		}
	}
	if c.light != nil && apart > most {
		return refusal.New(ErrGrey, "move everything out of shadows' edges and shine, and take the photo again",
			"equal greys differ by %.1f L*: a shadow or shine lies on a part of them", apart)
	}
	return nil
}

// middle returns the middle of the steps' places, in cells.
func middle(steps []StepReading) (x, y float64) {
	for _, s := range steps {
		sx, sy := s.Centre()
		x, y = x+sx/float64(len(steps)), y+sy/float64(len(steps))
	}
	return x, y
}

// Middle returns the middle of the steps, in cells: where the light is 1.
func (c *Calibration) Middle() From {
	x, y := middle(c.Steps)
	return From{x, y, 1}
}

// samples are what the used steps say: per channel the value that each
// reflectance, times the light on it, was written as.
type samples struct {
	values, reflectances [3][]float64
	pairs                [3][]pair
	nominal              bool // some L* is a printer's, unmeasured
}

// samples gathers the steps; copies of one printed grey count as one, their mean,
// because what is wrong with the print is wrong with all of them.
func (c *Calibration) samples() samples {
	var s samples
	for _, copies := range c.byGrey() {
		var v, y colour.LinearRGB
		n := float64(len(copies))
		for _, r := range copies {
			atX, atY := r.Centre()
			v, y = plus(v, c.field.InOwn(r.Mean)), plus(y, c.light.At(atX, atY))
			s.nominal = s.nominal || r.Nominal
		}
		s.add(scaled(v, 1/n), scaled(y, colour.Luminance(copies[0].L)/n))
	}
	return s
}

// byGrey returns the used steps, those of one L* together.
func (c *Calibration) byGrey() (out [][]*StepReading) {
	for _, r := range used(c.Steps) {
		if n := len(out); n > 0 && out[n-1][0].L == r.L {
			out[n-1] = append(out[n-1], r)
		} else {
			out = append(out, []*StepReading{r})
		}
	}
	return out
}

// pairs gathers, per channel, the greys with a copy, where the sheet tells the light.
func (c *Calibration) pairs() (out [3][]pair) {
	for step, copies := range c.byGrey() {
		if len(copies) != 2 {
			continue
		}
		var grey, sheet [2][3]float64
		var at [2]Point
		for side, r := range copies {
			at[side].X, at[side].Y = r.Centre()
			var ok bool
			if sheet[side], ok = c.light.sheetAt(at[side]); !ok {
				return [3][]pair{}
			}
			v := c.field.InOwn(r.Mean)
			grey[side] = [3]float64{math.Log(v.R), math.Log(v.G), math.Log(v.B)}
		}
		doubt := math.Hypot(c.light.Relative(at[0].X, at[0].Y, at[1].X, at[1].Y))
		for k := range out {
			out[k] = append(out[k], pair{step, doubt, [2]float64{grey[0][k], grey[1][k]}, [2]float64{sheet[0][k], sheet[1][k]}})
		}
	}
	return out
}

func plus(a, b colour.LinearRGB) colour.LinearRGB {
	return colour.LinearRGB{R: a.R + b.R, G: a.G + b.G, B: a.B + b.B}
}

func scaled(v colour.LinearRGB, by float64) colour.LinearRGB {
	return colour.LinearRGB{R: v.R * by, G: v.G * by, B: v.B * by}
}

func (s *samples) add(v, y colour.LinearRGB) {
	for k, v := range [3]float64{v.R, v.G, v.B} {
		s.values[k] = append(s.values[k], v)
	}
	for k, y := range [3]float64{y.R, y.G, y.B} {
		s.reflectances[k] = append(s.reflectances[k], y)
	}
}

func (s samples) len() int { return len(s.values[0]) }

// without returns the samples less the i-th step.
func (s samples) without(i int) samples {
	cut := func(v [3][]float64) (out [3][]float64) {
		for k := range v {
			out[k] = append(append([]float64{}, v[k][:i]...), v[k][i+1:]...)
		}
		return out
	}
	out := samples{values: cut(s.values), reflectances: cut(s.reflectances), nominal: s.nominal}
	for k := range s.pairs {
		for _, p := range s.pairs[k] {
			if p.step > i {
				p.step--
			} else if p.step == i {
				continue
			}
			out.pairs[k] = append(out.pairs[k], p)
		}
	}
	return out
}

// misprinted returns the samples as a printer would have made them that misses by
// 1 L* in the mode-th of three ways: all alike, contrast, and the middle greys
// against the ends.
func (s samples) misprinted(mode int) samples {
	out := s
	for k, reflectances := range s.reflectances {
		out.reflectances[k] = nil
		for _, y := range reflectances {
			l := colour.Lightness(y)
			miss := legendre(l/50 - 1)[mode] * math.Sqrt(float64(2*mode+1)) // 1 L* RMS over 0..100
			out.reflectances[k] = append(out.reflectances[k], colour.Luminance(max(l+miss, 1)))
		}
	}
	return out
}

// model is what is chosen by leaving steps out.
type model struct{ bend, flare float64 }

// fit returns the channels' curves and the root mean square, in L*, by which they
// miss left-out steps, and the same of left-out steps and pairs, a pair's miss counting
// as many times as it is better known; false when a curve cannot be had or falls.
func (s samples) fit(m model) (channels [3]Curve, steps, all float64, ok bool) {
	for k, values := range s.values {
		var missed []float64
		channels[k], missed, ok = fitCurve(values, s.reflectances[k], s.pairs[k], m.bend, m.flare)
		if !ok || !channels[k].rising() {
			return channels, math.Inf(1), math.Inf(1), false
		}
		for i, e := range missed {
			e *= stepL
			if i < len(values) {
				steps += e * e / float64(3*len(values))
			}
			all += e * e / float64(3*len(missed))
		}
	}
	return channels, math.Sqrt(steps), math.Sqrt(all), true
}

// choose returns the stiffest model with the least flare that predicts left-out
// steps nearly as well as the best one does: within a tenth. What little a less
// stiff one gains there is the print's roughness. On real charts, their light
// flattened, that gave a mean pair error of 2.16 and 1.73; the best model outright
// gave 2.19 and 1.77, one that may lose a quarter 2.18 and 1.68 but leaves the
// contrast of an S-shaped rendering in a rough print.
func (s samples) choose() model {
	const nearly = 1.1
	flares := []float64{0, .0025, .005, .01, .015, .02, .03}
	if s.len() < 4 {
		flares = flares[:1] // offset, slope and flare would leave nothing to test them
	}
	bends := []float64{.03, .05, .07, .1, .15, .2, .4, 1}
	tried, errs := make([]model, len(flares)*len(bends)), make([]float64, len(flares)*len(bends))
	inBands(len(tried), func(from, to int) {
		for i := from; i < to; i++ {
			tried[i] = model{bends[i%len(bends)], flares[i/len(bends)]}
			_, _, errs[i], _ = s.fit(tried[i])
		}
	})
	best := slices.Min(errs)
	return tried[slices.IndexFunc(errs, func(e float64) bool { return e <= nearly*best })]
}

// fitMany fits two steps or more. The other calibrations are those with one step
// left out: the jackknife's, whose spread is the curve's uncertainty.
func (c *Calibration) fitMany(s samples) error {
	m := s.choose()
	channels, leftOut, _, ok := s.fit(m)
	if !ok {
		return refusal.New(ErrGrey, "check which --grey place has which L*, and that they lie in the same light",
			"the grey steps fit no tone curve that a camera has")
	}
	c.channels, c.LeftOut = channels, leftOut
	n := s.len()
	for i := range n {
		if other, _, _, ok := s.without(i).fit(m); ok {
			c.others = append(c.others, variant{other, math.Sqrt(float64(n-1) / float64(n))})
		}
	}
	c.doubtFlare(s, m)
	if s.nominal {
		c.doubtPrint(s, m)
	}
	c.Method = fmt.Sprintf("tone curve through %d grey steps", n)
	if m.flare > 0 {
		c.Method += fmt.Sprintf(", flare %.2g %%", 100*m.flare)
	}
	return nil
}

// doubtFlare adds a calibration with more flare. The greys tell flare from tone only
// as well as they agree among themselves.
func (c *Calibration) doubtFlare(s samples, m model) {
	const mostFlare, agreed = .004, 1.0 // reflectance; L* of left-out error
	m.flare += mostFlare * min(1, c.LeftOut/agreed)
	if other, _, _, ok := s.fit(m); ok && c.LeftOut > 0 {
		c.others = append(c.others, variant{other, 1})
	}
}

// doubtPrint adds what a printer may have got wrong smoothly along the greys,
// which the curve takes for tone and no left-out step shows.
func (c *Calibration) doubtPrint(s samples, m model) {
	// A home printer misses its greys by 2 to 4 L*: common practice, no source.
	// The levels all alike cancel in differences; the rest is shared out evenly.
	const eachL, modes = 1.5, 3
	for mode := range modes {
		if other, _, _, ok := s.misprinted(mode).fit(m); ok {
			c.others = append(c.others, variant{other, eachL})
		}
	}
}

// fitOne takes the gain from a single step. How far a phone's tone curve may be
// from none is the uncertainty.
func (c *Calibration) fitOne(s samples) error {
	channels, _, _, ok := s.fit(model{bend: 1})
	if !ok {
		return refusal.New(ErrGrey, "give another --grey place", "the grey step gives no white balance")
	}
	// Log-log slopes of phones' curves about mid grey; from the deviation between
	// six steps and one on real charts.
	const slopeUncertainty = 0.2
	c.channels = channels
	bent := channels
	for k := range bent {
		bent[k] = bent[k].turned(1 + slopeUncertainty)
	}
	c.others = []variant{{bent, 1}}
	c.Method = "one grey step, gain only"
	c.Warnings = append(c.Warnings, "the tone curve is assumed: give more grey steps for better numbers")
	return nil
}

// report fills in the residuals and the warnings.
func (c *Calibration) report() {
	for i := range c.Steps {
		r := &c.Steps[i]
		if !r.Used {
			c.Warnings = append(c.Warnings, fmt.Sprintf("grey step L* %.3g left out: %s", r.L, r.Why))
			continue
		}
		x, y := r.Centre()
		r.Residual = colour.Lightness(luma(c.DevelopAt(x, y, r.Mean))) - r.L
	}
	const mostLeftOut = 3.0 // L*: a good print in even light stays well under
	if c.LeftOut > mostLeftOut {
		c.Warnings = append(c.Warnings, fmt.Sprintf(
			"the grey steps disagree by %.1f L*: uneven light along them, or L* values of another card", c.LeftOut))
	}
}

// Develop returns the reflectance, 1,1,1 for a perfect white, that the colour v
// of the photo's field stands for in the light of the steps' middle.
func (c *Calibration) Develop(v colour.LinearRGB) colour.LinearRGB {
	return c.toWorking(c.Undo(c.field.InOwn(v)))
}

// Undo is Develop within the photo's own primaries, of which each channel has a tone
// curve of its own: it treats each channel alone.
func (c *Calibration) Undo(v colour.LinearRGB) colour.LinearRGB { return undo(c.channels, v) }

// DevelopAt is Develop in the light at x, y, in cells of the field.
func (c *Calibration) DevelopAt(x, y float64, v colour.LinearRGB) colour.LinearRGB {
	return c.in(c.light.At(x, y), c.channels, v)
}

// in develops v, found in the given light, by the given curves.
func (c *Calibration) in(light colour.LinearRGB, curves [3]Curve, v colour.LinearRGB) colour.LinearRGB {
	return c.toWorking(divided(undo(curves, c.field.InOwn(v)), light))
}

func (c *Calibration) toWorking(v colour.LinearRGB) colour.LinearRGB {
	out := c.back.Apply([3]float64{v.R, v.G, v.B})
	return colour.LinearRGB{R: out[0], G: out[1], B: out[2]}
}

func undo(curves [3]Curve, v colour.LinearRGB) colour.LinearRGB {
	return colour.LinearRGB{R: curves[0].At(v.R), G: curves[1].At(v.G), B: curves[2].At(v.B)}
}

func divided(v, by colour.LinearRGB) colour.LinearRGB {
	return colour.LinearRGB{R: v.R / by.R, G: v.G / by.G, B: v.B / by.B}
}

// Lab returns the CIELAB colour (D65, 2°) that v stands for.
func (c *Calibration) Lab(v colour.LinearRGB) colour.Lab { return lab(c.Develop(v)) }

// LabAt returns the CIELAB colour (D65, 2°) that v, found at x, y in cells of the
// field, stands for.
func (c *Calibration) LabAt(x, y float64, v colour.LinearRGB) colour.Lab {
	return lab(c.DevelopAt(x, y, v))
}

// BrightnessAt returns how bright the light is at x, y in cells of the field, over that
// on the card.
func (c *Calibration) BrightnessAt(x, y float64) float64 {
	light := c.light.At(x, y)
	return (light.R + light.G + light.B) / 3
}

// ShiftsAt returns, for each source of uncertainty of the calibration, how far the
// Lab of v, found at x, y in cells of the field, moves by one standard uncertainty of
// it: in the same order for every v, so that differences of two colours of one photo can
// tell what they share. What the light does there is in LightCov.
func (c *Calibration) ShiftsAt(x, y float64, v colour.LinearRGB) []colour.Lab {
	light := c.light.At(x, y)
	here := lab(c.in(light, c.channels, v))
	var out []colour.Lab
	for _, o := range c.others {
		out = append(out, minus(lab(c.in(light, o.channels, v)), here, o.share))
	}
	return out
}

// LightCov returns the covariance of the Lab of v, found at x, y, that comes with not
// knowing by how much the light there differs from the mean of that at from.
func (c *Calibration) LightCov(from []From, x, y float64, v colour.LinearRGB) colour.Matrix {
	level, tint := c.light.relativeToMean(from, x, y)
	lit := divided(c.Undo(c.field.InOwn(v)), c.light.At(x, y))
	here := lab(c.toWorking(lit))
	var cov colour.Matrix
	for _, by := range []colour.LinearRGB{
		{R: level, G: level, B: level}, {R: tint}, {G: tint}, {B: tint}} {
		there := lab(c.toWorking(colour.LinearRGB{R: lit.R * (1 + by.R), G: lit.G * (1 + by.G), B: lit.B * (1 + by.B)}))
		d := [3]float64{there.L - here.L, there.A - here.A, there.B - here.B}
		for i := range cov {
			for j := range cov {
				cov[i][j] += d[i] * d[j]
			}
		}
	}
	return cov
}

// minus returns a share of a - b.
func minus(a, b colour.Lab, share float64) colour.Lab {
	return colour.Lab{L: share * (a.L - b.L), A: share * (a.A - b.A), B: share * (a.B - b.B)}
}

func lab(v colour.LinearRGB) colour.Lab {
	return colour.XYZToLab(colour.WorkingSpace().XYZ(v), colour.D65())
}
