package calibrate

import "evenhide/colour/order"

// A shadow's soft edge and a lamp close by bend the light more than its surface can.
// What bare sheet shows right beside a piece beyond the surface holds for the piece
// too, less what it shows beside the card, whose greys are the measure of all. On 119
// rendered photos of the hardest kind that took the error of ΔE00 from 0.187 to 0.177
// on average, and its 95th percentile from 0.57 to 0.52.

// bareSide is bare sheet on one side of something, by its nodes' log light off the
// surface.
type bareSide struct {
	levels []float64
	tints  [2][]float64 // of red and of blue against green
}

func (b *bareSide) add(off [3]float32) {
	l, _ := levelTint(off)
	b.levels = append(b.levels, float64(l))
	for k, c := range [2]int{0, 2} {
		b.tints[k] = append(b.tints[k], float64(off[c]-off[1]))
	}
}

// seen reports whether there is enough of it to go by.
func (b *bareSide) seen() bool { return len(b.levels) >= leastQuadrant }

// level is that of the brighter part, as a piece's own shadow falls on the darker.
func (b *bareSide) level() float64 { return order.Quantile(b.levels, brighter) }

const brighter = .75 // quantile

// misfit returns by how much log light the sheet on the sides that are seen is
// brighter than its surface, in each channel; 0 where none is.
func (s *Sheet) misfit(sides ...bareSide) (log [3]float64) {
	var level, red, blue, count float64
	for _, b := range sides {
		if b.seen() {
			count++
			level += b.level() - s.brighter
			red += order.Quantile(b.tints[0], .5)
			blue += order.Quantile(b.tints[1], .5)
		}
	}
	if count == 0 {
		return log
	}
	green := (level - redInLevel*red - blueInLevel*blue) / count
	return [3]float64{green + red/count, green, green + blue/count}
}

// besideCard is the misfit of the sheet right round the card.
func (s *Sheet) besideCard() [3]float64 {
	const from, to = 2, 8 // nodes
	var ring bareSide
	near, at := s.n.inside(s.cards, to), s.n.inside(s.cards, from)
	for i, in := range near {
		if in && !at[i] && s.hull[i] && !s.dim[i] && s.nearly(i) {
			ring.add(s.off[i])
		}
	}
	return s.misfit(ring)
}

// Beside returns the calibration for a piece whose Beside is log: the light on it is
// brighter by that than the surface says.
func (c *Calibration) Beside(log [3]float64) *Calibration {
	if c.light == nil {
		return c
	}
	there, light := *c, *c.light
	light.beside = log
	there.light = &light
	return &there
}
