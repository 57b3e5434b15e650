package scene

import (
	"math"

	"evenhide/colour"
)

// A tile is 1.27 mm square (ISO/IEC 13660), seen at tilePoints² places; at
// roughPoints² while an amplitude is being sought, since the truth is measured
// again afterwards.
const (
	tileSide    = 1.27
	tilePoints  = 4
	roughPoints = 2
)

// tileSet is the mean colour of each tile that lies wholly on an item's own
// surface, in linear light under D65.
type tileSet []tile

// tile is a tile's mean colour and its place in the item's frame.
type tile struct {
	Point
	xyz [3]float64
}

// tiles looks at every tile of the item, at n² places each. seen says what a
// place of the item's frame shows, and whether it counts; a tile counts when all
// its places do.
func (b *body) tiles(n int, seen func(p Point) (cell, bool)) tileSet {
	var out tileSet
	lo, hi := bounds(b.Outline)
	step := tileSide / float64(n)
	for y := lo.Y; y+tileSide <= hi.Y; y += tileSide {
		for x := lo.X; x+tileSide <= hi.X; x += tileSide {
			var mean [3]float64
			whole := true
			for k := 0; k < n*n && whole; k++ {
				var c cell
				c, whole = seen(Point{x + step*(float64(k%n)+.5), y + step*(float64(k/n)+.5)})
				for i := range mean {
					mean[i] += float64(c.xyz[i]) / float64(n*n)
				}
			}
			if whole {
				out = append(out, tile{Point{x, y}, mean})
			}
		}
	}
	return out
}

// mean returns the mean of the tiles in linear light; of none, black.
func (t tileSet) mean() [3]float64 {
	var out [3]float64
	for _, v := range t {
		for i := range out {
			out[i] += v.xyz[i] / float64(len(t))
		}
	}
	return out
}

// rms returns the root mean square ΔE00 of the tiles from their mean.
func (t tileSet) rms(white [3]float64) float64 {
	if len(t) == 0 {
		return 0
	}
	mean := toLab(t.mean(), white)
	total := 0.0
	for _, v := range t {
		d := deltaE2000(mean, toLab(v.xyz, white))
		total += d * d
	}
	return math.Sqrt(total / float64(len(t)))
}

// offPlane returns the root mean square ΔE00 of the tiles from their mean after
// the plane that fits their Lab best in squares has been taken off.
func (t tileSet) offPlane(white [3]float64) float64 {
	if len(t) < 4 { // a plane goes through any three
		return 0
	}
	n := float64(len(t))
	labs := make([][3]float64, len(t))
	var at Point
	var mean [3]float64
	for i, v := range t {
		lab := toLab(v.xyz, white)
		labs[i] = [3]float64{lab.L, lab.A, lab.B}
		at.X, at.Y = at.X+v.X/n, at.Y+v.Y/n
		for k := range mean {
			mean[k] += labs[i][k] / n
		}
	}
	var xx, xy, yy float64
	var up [3]Point // sums of each coordinate times place
	for i, v := range t {
		x, y := v.X-at.X, v.Y-at.Y
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
		for k, c := range labs[i] {
			up[k].X, up[k].Y = up[k].X+x*c, up[k].Y+y*c
		}
	}
	det := xx*yy - xy*xy
	if det < 1e-9*xx*yy {
		return 0 // all in one line
	}
	total := 0.0
	for i, v := range t {
		x, y := v.X-at.X, v.Y-at.Y
		off := labs[i]
		for k, s := range up {
			off[k] -= ((s.X*yy-s.Y*xy)*x + (s.Y*xx-s.X*xy)*y) / det
		}
		d := deltaE2000(colour.Lab{L: mean[0], A: mean[1], B: mean[2]}, colour.Lab{L: off[0], A: off[1], B: off[2]})
		total += d * d
	}
	return math.Sqrt(total / n)
}

// evenness returns the RMS that strength and hide alone give the item's tiles,
// seen at n² places each.
func (b *body) evenness(e *eye, n int) float64 {
	return b.tiles(n, func(p Point) (cell, bool) {
		d := b.shape.distance(p)
		return b.dyed(p, d), d < -b.margin()
	}).rms(e.white)
}

// margin is how far from its outline an item's surface counts as its own, mm.
func (b *body) margin() float64 { return max(b.Surface.Edge, 0.5) }

// settle finds the strengths of blotch, streak and slope that give the
// differences asked for, each alone, by correcting a first guess in proportion.
func (b *body) settle(e *eye) {
	s := &b.Surface
	if len(b.Material.blend) == 0 || b.Material.strength == 0 {
		return // nothing there that could vary
	}
	solve := func(by *float64, want float64, measure func() float64) float64 {
		*by = want * 0.04
		for range 3 {
			got := measure()
			if want == 0 || got == 0 {
				break
			}
			*by = min(*by*want/got, 1.5)
		}
		found := *by
		*by = 0
		return found
	}
	hideBy := b.hideBy
	b.hideBy = 0
	even := func() float64 { return b.evenness(e, roughPoints) }
	blotch := solve(&b.blotchBy, s.Blotch, even)
	streak := solve(&b.streakBy, s.Streak, even)
	slope := solve(&b.slopeBy, s.Slope, func() float64 { return b.ends(e) })
	b.blotchBy, b.streakBy, b.slopeBy, b.hideBy = blotch, streak, slope, hideBy
}

// ends returns the difference between the slope's two ends.
func (b *body) ends(e *eye) float64 {
	at := func(t float64) colour.Lab { return e.lab(b.table.at(math.Exp(t*b.slopeBy), b.hideAt).xyz) }
	return deltaE2000(at(-.5), at(.5))
}
