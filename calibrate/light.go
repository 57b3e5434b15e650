package calibrate

import (
	"math"

	"evenhide/colour"
)

// lightTerms is how many terms a surface has.
const lightTerms = 7

// surfaceTerms is a surface over the photo: the factors of 1, x, y, x², xy, y² for
// the lamp, and of r⁴ about the photo's middle, which a lens and its phone's
// correction leave. On real phone photos of a sheet r⁴ took the scatter that the
// second order leaves from 3.7 to 2.1 %; cubic terms did not help besides.
type surfaceTerms [lightTerms]float64

// Light is how the light varies over a photo: per channel the exponential of a
// smooth surface, relative to a place of reference. A nil *Light is even.
type Light struct {
	centre    Point
	scale     float64 // cells from the centre to where x or y is 1
	reference Point
	channels  [3]surfaceTerms // log light
	// written are the same surfaces of what the camera wrote of the sheet, its tones
	// not yet undone; nil where no sheet tells.
	written *[3]surfaceTerms
	// modes are the ways in which the surfaces may be wrong, independent of each
	// other, each by one standard uncertainty.
	modes [][3]surfaceTerms
	// misfit is the standard deviation by which the log light of a place departs
	// from the surface: in all channels together, and in one against the others.
	misfit, tint float64
	reach        float64 // cells over which two places share their misfit
	uneven       float64
	// beside is by how much log light one place is brighter than the surfaces say.
	beside float64
}

// At returns the light at x, y, in cells of the field, over the light at the
// place of reference: 1,1,1 there. It is always positive.
func (l *Light) At(x, y float64) colour.LinearRGB {
	if l == nil {
		return colour.LinearRGB{R: 1, G: 1, B: 1}
	}
	var out [3]float64
	d := l.between(l.reference, Point{x, y})
	for k, s := range l.channels {
		out[k] = math.Exp(min(max(s.dot(d)+l.beside, -mostLogLight), mostLogLight))
	}
	return colour.LinearRGB{R: out[0], G: out[1], B: out[2]}
}

// sheetAt returns the log of what the camera writes, or would write, of bare sheet at
// p, and whether that is known.
func (l *Light) sheetAt(p Point) (log [3]float64, ok bool) {
	if l == nil || l.written == nil {
		return log, false
	}
	t := l.terms(p)
	for k, s := range l.written {
		log[k] = s.dot(t)
	}
	return log, true
}

// mostLogLight bounds the surface far outside of the sheet, where it may run off.
const mostLogLight = 3

// Uneven returns by what fraction the brightest place of the sheet is brighter
// than its darkest, in luminance: 0 for even light, 0.3 for 30 %.
func (l *Light) Uneven() float64 {
	if l == nil {
		return 0
	}
	return l.uneven
}

// RelativeTo returns the same light with x, y, in cells, as place of reference.
func (l *Light) RelativeTo(x, y float64) *Light {
	if l == nil {
		return nil
	}
	moved := *l
	moved.reference = Point{x, y}
	return &moved
}

// Relative returns the standard uncertainty of the log ratio of the light at x1,
// y1 to that at x0, y0, as a fraction: level is common to the three channels, tint
// is what each has besides. It is made of the scatter of the sheet about the
// surface, taken over blocks, so that creases and shadows count as large as they
// are. It is 0 at one and the same place, and for even light, which is not known
// to be even: nil has no uncertainty of its own.
func (l *Light) Relative(x0, y0, x1, y1 float64) (level, tint float64) {
	if l == nil {
		return 0, 0
	}
	d := l.between(Point{x0, y0}, Point{x1, y1})
	// Two places far apart have each its own misfit; near ones share it.
	far := math.Hypot(x1-x0, y1-y0) / l.reach
	apart := 2 * -math.Expm1(-far*far)
	vl, vt := apart*l.misfit*l.misfit, apart*l.tint*l.tint
	sl, st := l.surfaces(d)
	return math.Sqrt(vl + sl), math.Sqrt(vt + st)
}

// From is a place, in cells, and its share in what a reading is held against: the shares
// of all such places sum to 1.
type From struct{ X, Y, Share float64 }

// relativeToMean is Relative for the mean of the light at several places: what differs
// between those is partly averaged.
func (l *Light) relativeToMean(from []From, x, y float64) (level, tint float64) {
	add := func(share, x0, y0, x1, y1 float64) {
		a, b := l.Relative(x0, y0, x1, y1)
		level, tint = level+share*a*a, tint+share*b*b
	}
	for i, p := range from {
		add(p.Share, p.X, p.Y, x, y)
		for _, q := range from[:i] {
			add(-p.Share*q.Share, p.X, p.Y, q.X, q.Y)
		}
	}
	return math.Sqrt(max(0, level)), math.Sqrt(max(0, tint)) // rounding
}

// surfaces returns the variances of the surfaces themselves, level and tint, between
// two places whose terms differ by d.
func (l *Light) surfaces(d surfaceTerms) (level, tint float64) {
	for _, m := range l.modes {
		r, g, b := m[0].dot(d), m[1].dot(d), m[2].dot(d)
		mean := (r + g + b) / 3
		level += mean * mean
		tint += ((r-mean)*(r-mean) + (g-mean)*(g-mean) + (b-mean)*(b-mean)) / 2
	}
	return level, tint
}

// between returns the terms at q less those at p.
func (l *Light) between(p, q Point) surfaceTerms {
	return l.terms(q).less(l.terms(p))
}

func (l *Light) terms(p Point) surfaceTerms {
	return termsAt((p.X-l.centre.X)/l.scale, (p.Y-l.centre.Y)/l.scale)
}

func termsAt(x, y float64) surfaceTerms {
	r2 := x*x + y*y
	return surfaceTerms{1, x, y, x * x, x * y, y * y, r2 * r2}
}

func (s surfaceTerms) less(t surfaceTerms) surfaceTerms {
	for i := range s {
		s[i] -= t[i]
	}
	return s
}

func (s surfaceTerms) dot(t surfaceTerms) float64 {
	sum := 0.0
	for i, v := range s {
		sum += v * t[i]
	}
	return sum
}
