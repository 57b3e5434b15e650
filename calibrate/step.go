package calibrate

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
	"evenhide/colour/order"
	"evenhide/colour/surface"
)

// ErrGrey is the kind of every refusal over the grey steps.
var ErrGrey = errors.New("grey steps unusable")

// Step is a neutral step: the cells of the field it covers, well inside its
// edges, and its L* (D65, 2°), 0..100.
type Step struct {
	surface.Region
	L float64
	// Nominal says that L is what a printer was asked for, and nobody measured
	// what came out.
	Nominal bool
}

// Centre returns the middle of the step's cells.
func (s Step) Centre() (x, y float64) {
	return float64(s.Rect.Min.X+s.Rect.Max.X) / 2, float64(s.Rect.Min.Y+s.Rect.Max.Y) / 2
}

// StepReading is what became of a step.
type StepReading struct {
	Step
	Mean colour.LinearRGB // trimmed mean of its cells, as the camera wrote it
	// Residual is what the fitted curve makes of the step, less its given L*.
	Residual float64
	Used     bool
	Why      string // why it was left out, "" when Used
}

// What a step must meet to be used.
const (
	trim          = 0.1   // share of the cells dropped at each end, for dust and specks
	leastCells    = 9     // fewer say nothing of a step's evenness
	enough        = 60    // cells along a side: more add nothing to a mean
	mostClipped   = 0.02  // share of pixels at the top of the code range
	nearTop       = 0.98  // mean linear value of a channel that clips as soon as there is noise
	leastValue    = 0.001 // mean linear value: three 8-bit codes of sRGB
	mostSpread    = 8.0   // L* between its parts: over that it lies across an edge
	mostTint      = 0.35  // log ratio of two channels against the median step's: over that it is no grey
	mostCast      = 1.5   // log ratio of two channels of any step: no light that people work in is so coloured
	leastGap      = 3.0   // L* between two steps that must be told apart
	leastContrast = 0.05  // share of the expected log difference under which two steps read the same
)

// Faults that call for another photo.
const (
	whyClipped = "clipped in "
	whyDark    = "too dark to read"
)

// readStep averages a step's cells and says what is wrong with them, if anything.
func readStep(f *colour.Field, s Step) StepReading {
	r := StepReading{Step: s}
	var all []colour.LinearRGB
	var parts spread
	clipped := 0.0
	cells := s.Rect.Intersect(f.Bounds())
	stride := 1 + int(math.Sqrt(float64(cells.Dx()*cells.Dy()))/enough)
	for y := cells.Min.Y; y < cells.Max.Y; y += stride {
		for x := cells.Min.X; x < cells.Max.X; x += stride {
			if s.In == nil || s.In[(y-s.Rect.Min.Y)*s.Rect.Dx()+x-s.Rect.Min.X] {
				c := f.At(x, y)
				all = append(all, c)
				parts.add(float64(x-s.Rect.Min.X)/float64(s.Rect.Dx()), float64(y-s.Rect.Min.Y)/float64(s.Rect.Dy()), luma(c))
				clipped += float64(f.Clipped[y*f.W+x]) / 255
			}
		}
	}
	n := len(all)
	if n < leastCells {
		r.Why = "too small"
		return r
	}
	r.Mean = trimmedMean(all)
	m := r.Mean
	name, top := brightest(m)
	switch {
	case clipped/float64(n) > mostClipped || top > nearTop:
		r.Why = whyClipped + name
	case min(m.R, m.G, m.B) < leastValue:
		r.Why = whyDark
	case parts.lightness() > mostSpread:
		r.Why = fmt.Sprintf("not even: %.0f L* from its dark to its light parts", parts.lightness())
	case max(math.Abs(math.Log(m.R/m.G)), math.Abs(math.Log(m.B/m.G))) > mostCast:
		r.Why = "strongly coloured"
	default:
		r.Used = true
	}
	return r
}

// trimmedMean returns the mean without the darkest and the lightest cells.
func trimmedMean(all []colour.LinearRGB) (mean colour.LinearRGB) {
	lumas := make([]float64, len(all))
	for i, c := range all {
		lumas[i] = luma(c)
	}
	drop := int(trim * float64(len(all)))
	darkest, lightest := order.Ranked(lumas, drop), order.Ranked(lumas, len(all)-1-drop)
	n := 0.0
	for _, c := range all {
		if l := luma(c); l >= darkest && l <= lightest {
			mean, n = plus(mean, c), n+1
		}
	}
	return scaled(mean, 1/n)
}

// spread gathers the means of a place's nine parts, in which noise averages out
// and an edge does not.
type spread struct{ sum, n [3][3]float64 }

// add takes a cell at x, y of the place, 0..1.
func (p *spread) add(x, y, luma float64) {
	i, j := int(3*y), int(3*x)
	p.sum[i][j] += luma
	p.n[i][j]++
}

// lightness returns by how many L* the lightest part is lighter than the darkest.
func (p *spread) lightness() float64 {
	least, most := math.Inf(1), math.Inf(-1)
	for i := range p.sum {
		for j, n := range p.n[i] {
			const few = 4 // cells: a corner that a turned place hardly covers
			if n >= few {
				l := colour.Lightness(p.sum[i][j] / n)
				least, most = min(least, l), max(most, l)
			}
		}
	}
	return most - least
}

// luma weighs the channels about as the eye does; for ordering and spread only.
func luma(c colour.LinearRGB) float64 { return .25*c.R + .65*c.G + .1*c.B }

func brightest(c colour.LinearRGB) (string, float64) {
	switch top := max(c.R, c.G, c.B); top {
	case c.R:
		return "red", top
	case c.G:
		return "green", top
	default:
		return "blue", top
	}
}

// readSteps reads all steps and leaves out those that do not agree with the
// others. The readings come back from dark to light. It is an error when none
// is left, or when they are so out of order that nobody can tell which are right.
func readSteps(f *colour.Field, steps []Step) ([]StepReading, error) {
	all := make([]StepReading, len(steps))
	inBands(len(steps), func(from, to int) {
		for i := from; i < to; i++ {
			all[i] = readStep(f, steps[i])
		}
	})
	slices.SortStableFunc(all, func(a, b StepReading) int { return int(math.Copysign(1, a.L-b.L)) })
	leaveOutTinted(all)
	before := len(used(all))
	leaveOutDisordered(all)
	if lost := before - len(used(all)); 3*lost > before {
		return nil, refusal.New(ErrGrey, "check which --grey place has which L*: a lighter grey has the higher L*",
			"the grey steps are out of order: %d of %d contradict the others", lost, before)
	}
	leaveOutMerged(all)
	if len(used(all)) == 0 {
		return nil, refuseSteps(all)
	}
	return all, nil
}

// leaveOutTinted leaves out steps whose colour is far from that of the median
// step: leather, tape or a shadow of another colour, and no grey.
func leaveOutTinted(all []StepReading) {
	tint := func(r StepReading) (rg, bg float64) {
		return math.Log(r.Mean.R / r.Mean.G), math.Log(r.Mean.B / r.Mean.G)
	}
	var rgs, bgs []float64
	for _, r := range used(all) {
		rg, bg := tint(*r)
		rgs, bgs = append(rgs, rg), append(bgs, bg)
	}
	if len(rgs) < 3 {
		return
	}
	midRG, midBG := median(rgs), median(bgs)
	for _, r := range used(all) {
		if rg, bg := tint(*r); max(math.Abs(rg-midRG), math.Abs(bg-midBG)) > mostTint {
			r.Used, r.Why = false, "not the same grey as the other steps"
		}
	}
}

// leaveOutDisordered leaves out, one after another, the step that disagrees with
// most others about which of two is the lighter. Uneven light turns near ones
// about, and says nothing against them.
func leaveOutDisordered(all []StepReading) {
	const tooNear = 10 // L*: what light that falls to 70 % does to a grey
	for {
		left := used(all)
		var worst *StepReading
		most := 0
		for _, r := range left {
			against := 0
			for _, o := range left {
				if math.Abs(r.L-o.L) > tooNear && (r.L-o.L)*(luma(r.Mean)-luma(o.Mean)) < 0 {
					against++
				}
			}
			if against > most {
				worst, most = r, against
			}
		}
		if worst == nil {
			return
		}
		worst.Used, worst.Why = false, "out of order: lighter or darker than its L* says"
	}
}

// leaveOutMerged leaves out steps that read the same as the next lighter one
// although their L* differ: blacks that the camera has crushed.
func leaveOutMerged(all []StepReading) {
	left := used(all)
	for i := len(left) - 2; i >= 0; i-- {
		dark, light := left[i], left[i+1]
		if light.L-dark.L < leastGap {
			continue
		}
		expected := math.Log(colour.Luminance(light.L) / colour.Luminance(dark.L))
		if math.Log(luma(light.Mean)/luma(dark.Mean)) < leastContrast*expected {
			dark.Used, dark.Why = false, fmt.Sprintf("not told apart from L* %.3g", light.L)
			left = slices.Delete(left, i, i+1)
		}
	}
}

func used(all []StepReading) []*StepReading {
	var out []*StepReading
	for i := range all {
		if all[i].Used {
			out = append(out, &all[i])
		}
	}
	return out
}

func median(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// refuseSteps says why no step could be used.
func refuseSteps(all []StepReading) error {
	what, hint := "no usable grey step", "see that each --grey place lies well inside its grey and has that grey's L*"
	for i, r := range all {
		sep := ", "
		if i == 0 {
			sep = ": "
		}
		what += fmt.Sprintf("%sL* %.3g %s", sep, r.L, r.Why)
		switch {
		case strings.HasPrefix(r.Why, whyClipped):
			hint = "take the photo again with less exposure"
		case r.Why == whyDark:
			hint = "take the photo again with more exposure"
		}
	}
	return refusal.New(ErrGrey, hint, "%s", what)
}
