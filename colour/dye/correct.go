package dye

import (
	"fmt"
	"math"
	"slices"

	"evenhide/colour"
)

// InHand is a blend that is mixed already.
type InHand struct {
	Parts []float64 // of each bottle of the palette
	Water float64
	ML    float64
	Seen  *View // of one dab laid from it as it is, of whichever bottle; nil where there is none
}

// Correction is what to pour into a blend in hand.
type Correction struct {
	Target colour.Lab // what it is held against
	Now    Prediction // of the blend as it is
	NowDE  float64    // ΔE00 from the target
	Add    []float64  // ml of each bottle of the palette
	Water  float64    // ml
	Then   Prediction
	DE     float64      // ΔE00 of Then from the target
	Words  colour.Words // Then against the target
}

// eachFold is by how much, in ΔE00, as much again as there is in hand must come
// closer to be worth pouring in.
const eachFold = .1

// Correct returns what to add to a blend in hand to bring it closest to a target, or to
// the one beside its dab: dye and water to a drop or a hundredth, and little rather than
// much. Nothing is added where it is near enough as it is, or not brought closer by what
// is seen. ErrParts, ErrReference, ErrReflectance, ErrTogether.
func (p *Palette) Correct(in InHand, target colour.Lab, w colour.Weights) (Correction, error) {
	const most = 1e6 // ml
	if !(in.ML > 0 && in.ML <= most) {
		return Correction{}, fmt.Errorf("%w: %g ml in hand", ErrParts, in.ML)
	}
	with, err := p.with(in)
	if err != nil {
		return Correction{}, err
	}
	n := len(p.names)
	if in.Seen != nil && in.Seen.Target != nil {
		target, _ = with.Target()
	}
	s := search{Palette: with, target: target, weights: orUnit(w)}
	out := Correction{Target: target, Add: make([]float64, n), Now: s.predict(poured(make([]float64, n+1)))}
	out.NowDE = s.off(out.Now)
	grain := max(Drop, math.Pow(10, math.Floor(math.Log10(in.ML/100)))) / in.ML
	add := s.pour(n)
	for i, v := range add {
		add[i] = math.Round(v/grain) * grain
	}
	s.spare(add)
	out.Then = s.predict(poured(add))
	if out.DE = s.off(out.Then); out.NowDE <= nearEnough || out.DE > out.NowDE-unseen {
		clear(add)
		out.Then, out.DE = out.Now, out.NowDE
	}
	for i := range out.Add {
		out.Add[i] = add[i] * in.ML
	}
	out.Water = add[n] * in.ML
	out.Words = colour.InWords(target, out.Then.Lab, s.weights)
	return out, nil
}

// spare leaves out each pour without which it is hardly further off.
func (s *search) spare(add []float64) {
	const hardly = .1 // ΔE00
	limit := s.distance(poured(add)) + hardly
	for i, v := range add {
		if add[i] = 0; s.distance(poured(add)) > limit {
			add[i] = v
		}
	}
}

func (s *search) off(p Prediction) float64 { return colour.DeltaE2000(s.target, p.Lab, s.weights) }

// poured returns the amounts of every bottle and of the blend in hand, the last, once
// add is poured in: so much of each bottle and of water for one of the blend.
func poured(add []float64) []float64 {
	total := 1.0
	for _, v := range add {
		total += v
	}
	out := make([]float64, len(add))
	for i, v := range add[:len(add)-1] {
		out[i] = v / total
	}
	out[len(add)-1] = 1 / total
	return out
}

// pour returns how much of each of n bottles and of water, last, to add to one of the
// blend in hand: from the best of single pours, by more and less of each and by one
// for another, ever finer, while that helps.
func (s *search) pour(n int) []float64 {
	const most = 4 // fold: who needs more starts anew
	cost := func(add []float64) float64 {
		sum := 0.0
		for _, v := range add {
			if v < 0 || v > most {
				return math.Inf(1)
			}
			sum += v
		}
		return colour.DeltaE2000(s.target, s.colour(poured(add)), s.weights) + eachFold*sum
	}
	best := make([]float64, n+1)
	least := cost(best)
	try := func(add []float64) bool {
		c := cost(add)
		if c < least {
			best, least = slices.Clone(add), c
			return true
		}
		return false
	}
	for i := range n + 1 {
		for v := .01; v <= most; v *= 1.3 {
			one := make([]float64, n+1)
			one[i] = v
			try(one)
		}
	}
	for step := .5; step > 1e-4; step /= 2 {
		for round, moved := 0, true; moved && round < 40; round++ {
			moved = false
			for i := range n + 1 {
				for j := range n + 1 {
					for _, d := range []float64{step, -step, -best[i]} {
						add := slices.Clone(best)
						add[i] += d
						moved = try(add) || moved
						if i != j {
							add[j] -= d
							moved = try(add) || moved
						}
					}
				}
			}
		}
	}
	return best
}

// A blend is poured as it was meant to be but for spillSD, or roughly, by roughSD off (our
// own choice): which of them, its dab tells.
const roughSD = .15

// with returns the palette with the blend in hand as one more dye, the last.
func (p *Palette) with(in InHand) (*Palette, error) {
	amounts, err := p.amounts(in.Parts, in.Water)
	if err != nil {
		return nil, err
	}
	if in.Seen == nil {
		out := p.mixIn(amounts, 0)
		out.refresh()
		return out, nil
	}
	v := *in.Seen
	v.Dabs = slices.Clone(v.Dabs)
	v.Dabs[0].Amounts = Pure(len(p.names), 1)
	var best *Palette
	var failed error
	most := math.Inf(-1)
	for _, spill := range []float64{spillSD, roughSD} {
		out := p.mixIn(amounts, spill)
		if err := v.check(&v.Dabs[0], out.names); err != nil {
			return nil, err
		}
		switch l, err := out.fold(v, v.Target != nil); {
		case err != nil:
			failed = err
		case l.likely > most:
			best, most = out, l.likely
		}
	}
	if best == nil {
		return nil, failed
	}
	return best, nil
}

// mixIn returns the palette with a blend as if it were one dye more, poured more or less as
// it was meant: each band of it may be off by spill, in logarithms, and all of it.
func (p *Palette) mixIn(amounts []float64, spill float64) *Palette {
	out := *p
	out.names, out.at, out.loads = slices.Clone(p.names), slices.Clone(p.at), slices.Clone(p.loads)
	load := 0.0
	var on []int
	for i, a := range amounts {
		load += a
		if a > 0 {
			on = span(on, p.at[i], samples+1)
		}
	}
	mixed := func(x []float64) []float64 {
		plain, _ := p.dyes(x)
		out := make([]float64, samples+1)
		for i, a := range amounts {
			for k, v := range plain[i] {
				out[k] += a * v
			}
			out[samples] += a / load * x[p.at[i]+samples]
		}
		for k := range samples {
			out[k] = math.Log(out[k])
		}
		return out
	}
	g := p.known.with(smooth(0, spill, dyeLength, spill).with(even(1, 0, 0)))
	g.follow(mixed, on, len(p.known.mean))
	out.add("the blend", g, load)
	return &out
}

// Drop is a drop in ml, of which 20 make a millilitre (common practice, no source).
const Drop = .05
