package main

import (
	"fmt"
	"math"

	"evenhide/colour"
)

// formula is a colour difference of sample from ref.
type formula func(ref, sample colour.Lab) float64

// difference is one formula as we have it, and what may explain that culori's
// value for a pair is another; nil if nothing may.
type difference struct {
	name    string
	ours    formula
	explain func(ours formula, ref, sample colour.Lab, theirs float64) bool
}

func differences() []difference {
	ciede := func(w colour.Weights) formula {
		return func(ref, sample colour.Lab) float64 { return colour.DeltaE2000(ref, sample, w) }
	}
	cie94 := func(w colour.Weights94) formula {
		return func(ref, sample colour.Lab) float64 { return colour.DeltaE94(ref, sample, w) }
	}
	cmc := func(l, c float64) formula {
		return func(ref, sample colour.Lab) float64 { return colour.DeltaECMC(ref, sample, l, c) }
	}
	return []difference{
		{"ΔE*ab", colour.DeltaE76, nil},
		{"CIE94 graphic arts", cie94(colour.GraphicArts94()), nil},
		{"CIE94 textiles", cie94(colour.Textiles94()), nil},
		{"CMC(1:1)", cmc(1, 1), nil},
		{"CMC(2:1)", cmc(2, 1), nil},
		{"ΔE00", ciede(colour.UnitWeights()), oppositeHues},
		{"ΔE00, kL 2", ciede(colour.Weights{KL: 2, KC: 1, KH: 1}), oppositeHues},
	}
}

// oppositeHues reports whether theirs is our value for hues a trifle more or a
// trifle less than 180° apart, and the pair's are 180° apart but for rounding.
func oppositeHues(ours formula, ref, sample colour.Lab, theirs float64) bool {
	const (
		opposite = 1e-11 // of the sine of the hue difference: rounding, and no more
		turn     = 1e-6  // degrees, far above what our formula counts as 180°
		moved    = 1e-5  // more than such a turn changes ΔE00 by itself
	)
	chroma := math.Hypot(ref.A, ref.B) * math.Hypot(sample.A, sample.B)
	sine := (ref.A*sample.B - sample.A*ref.B) / chroma
	if ref.A*sample.A+ref.B*sample.B >= 0 || math.Abs(sine) > opposite {
		return false
	}
	near := func(turn float64) bool {
		p := sample.LCh()
		p.H += turn
		return math.Abs(ours(ref, p.Lab())-theirs) < moved
	}
	return near(turn) || near(-turn)
}

// result is the outcome of one comparison.
type result struct {
	name        string
	compared    int
	worst       float64
	explained   int
	unexplained []string
}

func compareDifference(d difference, pairs [][2][3]float64, theirs []*float64) result {
	r := result{name: d.name, compared: min(len(pairs), len(theirs))}
	for i := range r.compared {
		ref, sample := labOf(pairs[i][0]), labOf(pairs[i][1])
		got, want := d.ours(ref, sample), math.NaN()
		if theirs[i] != nil {
			want = *theirs[i]
		}
		off := math.Abs(got - want)
		switch {
		case off <= agreement:
			r.worst = max(r.worst, off)
		case d.explain != nil && d.explain(d.ours, ref, sample, want):
			r.explained++
		default:
			r.unexplained = append(r.unexplained, fmt.Sprintf("%s: %v to %v: here %v, culori %v", d.name, ref, sample, got, want))
		}
	}
	return r
}

// compareLab compares the Lab colours of encoded values in s. Both sides take
// D65 from xy (0.3127, 0.3290).
func compareLab(s colour.Space, rgb [][3]float64, theirs [][3]float64) result {
	r := result{name: "Lab of " + s.Name, compared: min(len(rgb), len(theirs))}
	for i := range r.compared {
		c := colour.EncodedRGB{R: rgb[i][0], G: rgb[i][1], B: rgb[i][2]}
		got, want := colour.XYZToLab(s.XYZ(s.Linear(c)), s.White), labOf(theirs[i])
		off := colour.DeltaE76(got, want)
		if off <= agreement {
			r.worst = max(r.worst, off)
			continue
		}
		r.unexplained = append(r.unexplained, fmt.Sprintf("%s of %v: here %v, culori %v", r.name, c, got, want))
	}
	return r
}

func labOf(v [3]float64) colour.Lab { return colour.Lab{L: v[0], A: v[1], B: v[2]} }
