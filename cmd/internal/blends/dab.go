package blends

import (
	"fmt"
	"slices"
	"strings"

	"evenhide/cmd/internal/shadebook"
)

// Dab is what a dab was laid from: a dye or a mix of some, and how much of that is dye
// and not water.
type Dab struct {
	Of   []shadebook.Part
	Part float64
}

// String returns the dab as --dab has it.
func (d Dab) String() string {
	var names []string
	for _, p := range d.Of {
		if p.Parts != d.Of[0].Parts {
			return fmt.Sprintf("%s:%.3g", d.uneven(), d.Part)
		}
		names = append(names, p.Dye)
	}
	return fmt.Sprintf("%s:%.3g", strings.Join(names, "+"), d.Part)
}

// uneven writes a mix with its parts.
func (d Dab) uneven() string {
	var names []string
	for _, p := range d.Of {
		names = append(names, fmt.Sprintf("%s*%.3g", p.Dye, p.Parts))
	}
	return strings.Join(names, "+")
}

// amounts returns how much of each of the named dyes is in it; false where it has
// another dye in it.
func (d Dab) amounts(names []string) (out []float64, of bool) {
	out = make([]float64, len(names))
	sum := 0.0
	for _, p := range d.Of {
		sum += p.Parts
	}
	for _, p := range d.Of {
		i := slices.Index(names, p.Dye)
		if i < 0 {
			return nil, false
		}
		out[i] += d.Part * p.Parts / sum
	}
	return out, true
}

// laidFrom returns a dab of such amounts of the named dyes.
func laidFrom(amounts []float64, names []string) (d Dab) {
	for i, a := range amounts {
		if a > 0 {
			d.Of, d.Part = append(d.Of, shadebook.Part{Dye: names[i], Parts: a}), d.Part+a
		}
	}
	return d
}

// has tells whether a dye is in it.
func (d Dab) has(name string) bool {
	return slices.ContainsFunc(d.Of, func(p shadebook.Part) bool { return p.Dye == name })
}
