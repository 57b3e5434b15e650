package tolerance

import (
	"cmp"
	"math"
	"slices"

	"evenhide/colour"
)

// Sample is a measured colour by its name.
type Sample struct {
	Name string
	Lab  colour.Lab
}

// Lots sorts samples into groups in which every two differ by at most limit, in
// ΔE00: what one order can be filled from. It returns the indices of each group's
// samples, by name, the largest group first.
//
// It starts from single samples and keeps joining the two groups whose furthest
// members are closest (complete linkage), as long as those are within the limit.
// So no two of the groups could be joined whole, though with other groups there
// may be fewer of them: to find the fewest takes time that grows without bounds.
// The order of the samples does not matter, nor does it for groups equally close:
// all is decided by the colours, and between equal colours by name.
//
// The limit is held against the differences as measured; how far those can be
// trusted is not part of it. Time and memory grow with the square of the number:
// 2000 samples take about a second and 16 MB.
func Lots(samples []Sample, limit float64, w colour.Weights) [][]int {
	sorted := byContent(samples)
	c := newClusters(len(samples), func(i, j int) float64 {
		return colour.DeltaE2000(samples[sorted[i]].Lab, samples[sorted[j]].Lab, w)
	})
	for c.join(limit) {
	}
	var lots [][]int
	for _, group := range c.members {
		if len(group) == 0 {
			continue
		}
		lot := make([]int, len(group))
		for k, i := range group {
			lot[k] = sorted[i]
		}
		slices.SortFunc(lot, func(a, b int) int {
			return cmp.Or(cmp.Compare(samples[a].Name, samples[b].Name), compareLab(samples[a].Lab, samples[b].Lab))
		})
		lots = append(lots, lot)
	}
	slices.SortStableFunc(lots, func(a, b []int) int {
		return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(samples[a[0]].Name, samples[b[0]].Name))
	})
	return lots
}

// FurthestApart returns the two samples that differ most, and by how much; the
// samples must be two at least. Of pairs equally far it is the first by colour.
func FurthestApart(samples []Sample, w colour.Weights) (i, j int, de float64) {
	sorted := byContent(samples)
	de = -1
	for b, second := range sorted {
		for _, first := range sorted[:b] {
			if d := colour.DeltaE2000(samples[first].Lab, samples[second].Lab, w); d > de {
				i, j, de = first, second, d
			}
		}
	}
	return i, j, de
}

// Spread returns the mean of the samples, of which there must be one at least,
// and how far they lie from it: the RMS of their ΔE00.
func Spread(samples []Sample, w colour.Weights) (mean colour.Lab, rms float64) {
	sorted, n := byContent(samples), float64(len(samples)) // so that the sums round alike in any order
	for _, i := range sorted {
		c := samples[i].Lab
		mean.L, mean.A, mean.B = mean.L+c.L/n, mean.A+c.A/n, mean.B+c.B/n
	}
	for _, i := range sorted {
		d := colour.DeltaE2000(mean, samples[i].Lab, w)
		rms += d * d / n
	}
	return mean, math.Sqrt(rms)
}

// byContent returns the indices of the samples in an order that is the same
// however they are given.
func byContent(samples []Sample) []int {
	order := make([]int, len(samples))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(compareLab(samples[a].Lab, samples[b].Lab), cmp.Compare(samples[a].Name, samples[b].Name))
	})
	return order
}

func compareLab(a, b colour.Lab) int {
	return cmp.Or(cmp.Compare(a.L, b.L), cmp.Compare(a.A, b.A), cmp.Compare(a.B, b.B))
}
