package surface

import (
	"math"

	"evenhide/colour"
	"evenhide/colour/order"
)

// Blotch says how far the tiles lie from the region's colour in CIEDE2000, after
// the slope has been taken off. The part of it that is grain is taken off too:
// the mean of a tile has noise of its own, known from how far the tile's
// quarters differ or from its colour errors that end with a block of the JPEG, and
// its share is subtracted in quadrature, down to 0. Tiles with a mark do not count.
type Blotch struct {
	RMS float64 // root mean square of the tiles' ΔE00, less grain
	P95 float64 // 95th percentile, scaled as the RMS was
	// Grain is the root mean square ΔE00 that was taken off.
	Grain float64
}

func (s *sheet) blotch(mean colour.Lab, tr trend, w colour.Weights) Blotch {
	n := len(s.tiles)
	m := metric(mean, w)
	squares := squaresFrom(mean, tr.residual, m, w)
	square := 0.0
	for _, v := range squares {
		square += v
	}
	square /= float64(n - 3) // the plane took three degrees of freedom
	grain := max(s.grainSquare(mean, w), s.newTints(tr).blocky(m))
	b := Blotch{RMS: math.Sqrt(max(0, square-grain)), Grain: math.Sqrt(grain)}
	if square > 0 {
		b.P95 = math.Sqrt(order.Ranked(squares, int(0.95*float64(n)))/square) * b.RMS
	}
	return b
}

// squaresFrom returns the square of ΔE00 between mean and mean plus each of off.
// Of more than exactTiles that many are worked out, and the others by ΔE00's metric
// m times as much as makes both alike over those: the bend of ΔE00 over a blotchy
// surface, some percent, is taken in to about a thirtieth of it.
func squaresFrom(mean colour.Lab, off [][3]float64, m [3][3]float64, w colour.Weights) []float64 {
	const exactTiles = 256
	out := make([]float64, len(off))
	step := 1 + (len(off)-1)/exactTiles
	exact, quick := 0.0, 0.0
	for i, d := range off {
		out[i] = quadratic(m, d)
		if i%step == 0 {
			quick += out[i]
			e := colour.DeltaE2000(mean, shift(mean, d), w)
			out[i] = e * e
			exact += out[i]
		}
	}
	if step > 1 && quick > 0 {
		for i := range out {
			if i%step != 0 {
				out[i] *= exact / quick
			}
		}
	}
	return out
}

// grainSquare returns the mean square ΔE00 that the noise of tile means makes.
// For noise this small ΔE00² is a quadratic form of the Lab difference, so its
// mean is its sum over the columns of a square root of the noise's covariance.
func (s *sheet) grainSquare(mean colour.Lab, w colour.Weights) (sum float64) {
	var camera light
	for _, t := range s.tiles {
		camera.add(t.camera)
	}
	root := s.noise.Root()
	c := camera.mean()
	x, y := s.middle()
	at := s.toLab(s.dev(x, y, c))
	for k := range root {
		moved := colour.LinearRGB{R: c.R + root[0][k], G: c.G + root[1][k], B: c.B + root[2][k]}
		to := s.toLab(s.dev(x, y, moved))
		d := colour.DeltaE2000(mean, shift(mean, [3]float64{to.L - at.L, to.A - at.A, to.B - at.B}), w)
		if !math.IsNaN(d) {
			sum += d * d
		}
	}
	return sum
}

// middle returns the centroid of the tiles, in cells.
func (s *sheet) middle() (x, y float64) {
	n := float64(len(s.tiles))
	for _, t := range s.tiles {
		x, y = x+t.x/n, y+t.y/n
	}
	return x, y
}

// iso13660 returns mottle and graininess in L* and the luminance's variation.
func (s *sheet) iso13660() (mottle, graininess, cv float64) {
	n := float64(len(s.tiles))
	var l, y float64
	var camera light
	for _, t := range s.tiles {
		l, y = l+t.lab.L/n, y+t.lum/n
		camera.add(t.camera)
	}
	mx, my := s.middle()
	contrast := s.contrast(camera.mean(), mx, my)
	var ll, yy, within float64
	for _, t := range s.tiles {
		ll += (t.lab.L - l) * (t.lab.L - l)
		yy += (t.lum - y) * (t.lum - y)
		sigma := perL(t.lab.L) * contrast * t.grainCV
		within += sigma * sigma
	}
	if y > 0 {
		cv = math.Sqrt(yy/(n-1)) / y
	}
	return math.Sqrt(ll / (n - 1)), math.Sqrt(within / n), cv
}

func shift(c colour.Lab, d [3]float64) colour.Lab {
	return colour.Lab{L: c.L + d[0], A: c.A + d[1], B: c.B + d[2]}
}
