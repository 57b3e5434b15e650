package card

import (
	"errors"
	"math"

	"evenhide/colour"
)

// Kinds of refusal of Find.
var (
	ErrNoCard       = errors.New("no card in the photo")
	ErrOneCode      = errors.New("only one code of the card can be read")
	ErrManyCards    = errors.New("more than one card in the photo")
	ErrOtherVersion = errors.New("card of another layout version")
	ErrGeometry     = errors.New("card does not lie as it should")
)

// Pixel is a place in the upright photo, in its own pixels: 0,0 is the outer
// corner of the top left pixel, whose middle is 0.5,0.5.
type Pixel struct{ X, Y float64 }

// Found is a card's place in a photo.
type Found struct {
	Serial  string
	Version int
	Codes   int           // codes read: 2, or 1 when the card was found from one end
	ToPixel colour.Matrix // homography, millimetres to pixels
	ToMM    colour.Matrix // its inverse
	// ResidualPx is the root mean square distance, in photo pixels, between
	// the printed edges as measured and as ToPixel puts them.
	ResidualPx float64
	// EdgeMM is how wide the edges of the print are seen, from 10 to 90 % of their
	// contrast, in millimetres; 0 when none can be followed.
	EdgeMM float64
}

// Pixel returns where the point p of the card lies in the photo.
func (f Found) Pixel(p Point) Pixel { return project(f.ToPixel, p) }

// Point returns the point of the card's plane that is seen at p.
func (f Found) Point(p Pixel) Point {
	v := f.ToMM.Apply([3]float64{p.X, p.Y, 1})
	return Point{Millimetres(v[0] / v[2]), Millimetres(v[1] / v[2])}
}

// Quad returns the corners of b in the photo, clockwise from its top left, after
// b has been made smaller by margin on every side. They may lie outside the photo.
func (f Found) Quad(b Box, margin Millimetres) [4]Pixel {
	var out [4]Pixel
	for i, c := range b.Inset(margin).Corners() {
		out[i] = f.Pixel(c)
	}
	return out
}

// Outline returns the corners of the card, clockwise from its own top left.
func (f Found) Outline() [4]Pixel {
	l := NewLayout()
	return f.Quad(Box{0, 0, l.W, l.H}, 0)
}

// PxPerMM returns the photo's pixels a millimetre at p: the square root of the
// area of one square millimetre.
func (f Found) PxPerMM(p Point) float64 {
	x, y := jacobian(f.ToPixel, p)
	return math.Sqrt(math.Abs(x.X*y.Y - x.Y*y.X))
}

func project(m colour.Matrix, p Point) Pixel {
	v := m.Apply([3]float64{float64(p.X), float64(p.Y), 1})
	return Pixel{v[0] / v[2], v[1] / v[2]}
}

// jacobian returns how far the pixel of p moves for a millimetre along x and y.
func jacobian(m colour.Matrix, p Point) (x, y Pixel) {
	v := m.Apply([3]float64{float64(p.X), float64(p.Y), 1})
	at := Pixel{v[0] / v[2], v[1] / v[2]}
	x = Pixel{(m[0][0] - at.X*m[2][0]) / v[2], (m[1][0] - at.Y*m[2][0]) / v[2]}
	y = Pixel{(m[0][1] - at.X*m[2][1]) / v[2], (m[1][1] - at.Y*m[2][1]) / v[2]}
	return x, y
}

// shift returns m for points measured from another origin: the result maps p as
// m maps p minus by.
func shift(m colour.Matrix, by Point) colour.Matrix {
	return m.Mul(colour.Matrix{{1, 0, -float64(by.X)}, {0, 1, -float64(by.Y)}, {0, 0, 1}})
}

// enlarge returns m with its pixels k times as many along each side.
func enlarge(m colour.Matrix, k float64) colour.Matrix { return colour.Diagonal(k, k, 1).Mul(m) }
