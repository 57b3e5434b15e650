package calibrate

import (
	"math"

	"evenhide/colour"
)

// LightOfCopies returns the light's slope over the greys, from copies of equal
// greys in two places: all that is known of the light where no sheet shows it. It
// is nil when fewer than four greys have a copy. Its unevenness is not known.
func (c *Calibration) LightOfCopies() *Light {
	var pairs []copies
	for i := 1; i < len(c.Steps); i++ {
		if a, b := c.Steps[i-1], c.Steps[i]; a.L == b.L && a.Used && b.Used {
			ax, ay := a.Centre()
			bx, by := b.Centre()
			pairs = append(pairs, copies{ax - bx, ay - by, logRatio(c.Undo(c.field.InOwn(a.Mean)), c.Undo(c.field.InOwn(b.Mean)))})
		}
	}
	const least = 4
	if len(pairs) < least {
		return nil
	}
	x, y := middle(c.Steps)
	l := &Light{centre: Point{x, y}, reference: Point{x, y}, scale: 1, reach: 1}
	var spread [3]float64
	var xx, xy, yy float64
	for k := range l.channels {
		var xr, yr float64
		xx, xy, yy = 0, 0, 0
		for _, p := range pairs {
			xx, xy, yy = xx+p.x*p.x, xy+p.x*p.y, yy+p.y*p.y
			xr, yr = xr+p.x*p.ratio[k], yr+p.y*p.ratio[k]
		}
		det := xx*yy - xy*xy
		if !(det > 1e-6*xx*yy) {
			return nil // all copies lie one way from each other
		}
		gx, gy := (yy*xr-xy*yr)/det, (xx*yr-xy*xr)/det
		l.channels[k] = surfaceTerms{0, gx, gy}
		for _, p := range pairs {
			off := p.ratio[k] - gx*p.x - gy*p.y
			spread[k] += off * off / float64(len(pairs)-2)
		}
	}
	// The covariance of the slopes along x and y is variance·[yy, -xy; -xy, xx]/det, all
	// channels alike: the columns of its Cholesky root are errors independent of each
	// other.
	variance := (spread[0] + spread[1] + spread[2]) / 3
	along := math.Sqrt(variance * yy / (xx*yy - xy*xy))
	for _, m := range []surfaceTerms{{0, along, -along * xy / yy}, {0, 0, math.Sqrt(variance / yy)}} {
		l.modes = append(l.modes, [3]surfaceTerms{m, m, m})
	}
	return l
}

// copies are two equal greys: where the one lies from the other, in cells, and the
// log ratio of their light per channel.
type copies struct {
	x, y  float64
	ratio [3]float64
}

func logRatio(a, b colour.LinearRGB) [3]float64 {
	log := func(a, b float64) float64 { return math.Log(max(a, 1e-4) / max(b, 1e-4)) }
	return [3]float64{log(a.R, b.R), log(a.G, b.G), log(a.B, b.B)}
}
