package card

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"

	"evenhide/colour"
)

// printed is a card in linear light, as flat as the printer left it.
type printed struct {
	w, h  int
	perMM float64
	y     []float32
}

// newPrinted prints the PNG: device grey is relative to the paper, down to the
// nominal black.
func newPrinted(t testing.TB, serial string) *printed {
	t.Helper()
	var buf bytes.Buffer
	if err := WritePNG(&buf, serial); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&buf)
	if err != nil {
		t.Fatal(err)
	}
	return printedFrom(img.(*image.Gray))
}

func printedFrom(img *image.Gray) *printed {
	var table [256]float32
	for g := range table {
		lin := colour.SRGB().Decode(float64(g) / 255)
		table[g] = float32(colour.Luminance(max(blackL, paperL*colour.Lightness(lin)/100)))
	}
	p := &printed{img.Rect.Dx(), img.Rect.Dy(), PNGDotsPerInch / mmPerInch, make([]float32, len(img.Pix))}
	for i, g := range img.Pix {
		p.y[i] = table[g]
	}
	return p
}

// at returns the reflectance at x, y millimetres and whether that is on the card.
func (p *printed) at(x, y float64) (float32, bool) {
	x, y = x*p.perMM, y*p.perMM
	if x < 0 || y < 0 || x >= float64(p.w) || y >= float64(p.h) {
		return 0, false
	}
	x, y = max(x-0.5, 0), max(y-0.5, 0)
	x0, y0 := int(x), int(y)
	x1, y1 := min(x0+1, p.w-1), min(y0+1, p.h-1)
	tx, ty := float32(x-float64(x0)), float32(y-float64(y0))
	top := p.y[y0*p.w+x0]*(1-tx) + p.y[y0*p.w+x1]*tx
	low := p.y[y1*p.w+x0]*(1-tx) + p.y[y1*p.w+x1]*tx
	return top*(1-ty) + low*ty, true
}

// shot is one photo to be taken of a card.
type shot struct {
	w, h    int
	turn    float64 // degrees in the plane of the card
	tilt    float64 // degrees from straight above
	toward  float64 // degrees: the direction the camera leans to
	perMM   float64 // cells a millimetre at the card's middle
	dx, dy  float64 // middle of the card from the middle of the photo, in cells
	blur    float64 // cells, standard deviation
	noise   float64 // standard deviation at white, in linear light; falls with the square root of the light
	slope   float64 // light at the far side over that at the near side, less 1
	shade   float64 // light in the shade, 1 for none; the shade's border runs through the card
	ground  float64 // reflectance of the table; 0 a white sheet
	covered *Box    // millimetres of the card hidden by leather
	barrel  float64 // distortion by the lens at the photo's corners, as a share of the distance from the middle
	curl    float64 // millimetres by which the card's middle is seen off its place across the card
}

// homography returns card millimetres to cells for a pinhole camera of 65° field.
func (s shot) homography() colour.Matrix {
	sin := func(deg float64) float64 { return math.Sin(deg * math.Pi / 180) }
	cos := func(deg float64) float64 { return math.Cos(deg * math.Pi / 180) }
	focal := float64(max(s.w, s.h)) / 2 / math.Tan(32.5*math.Pi/180)
	distance := focal / s.perMM
	turn := colour.Matrix{{cos(s.turn), -sin(s.turn), 0}, {sin(s.turn), cos(s.turn), 0}, {0, 0, 1}}
	lean := colour.Matrix{{cos(s.toward), sin(s.toward), 0}, {-sin(s.toward), cos(s.toward), 0}, {0, 0, 1}}
	back := colour.Matrix{{cos(s.toward), -sin(s.toward), 0}, {sin(s.toward), cos(s.toward), 0}, {0, 0, 1}}
	tip := colour.Matrix{{1, 0, 0}, {0, cos(s.tilt), 0}, {0, sin(s.tilt), 1}}
	pose := back.Mul(tip).Mul(lean).Mul(turn)
	// Columns: x, y on the card, and the card's middle in front of the camera.
	pose[0][2], pose[1][2], pose[2][2] = 0, 0, distance
	camera := colour.Matrix{{focal, 0, float64(s.w)/2 + s.dx}, {0, focal, float64(s.h)/2 + s.dy}, {0, 0, 1}}
	m := camera.Mul(pose).Mul(colour.Matrix{{1, 0, -cardW / 2}, {0, 1, -cardH / 2}, {0, 0, 1}})
	for i := range m {
		for j := range m[i] {
			m[i][j] /= distance
		}
	}
	return m
}

// take renders the photo and returns it with the true homography, both in cells.
func (s shot) take(seed uint64, p *printed) (*colour.Field, colour.Matrix) {
	m := s.homography()
	inverse, _ := m.Inverse()
	plane := make([]float32, s.w*s.h)
	ground := float32(s.ground)
	if s.ground == 0 {
		ground = float32(colour.Luminance(94))
	}
	for y := range s.h {
		for x := range s.w {
			mx, my := s.seen(inverse, float64(x), float64(y))
			plane[y*s.w+x] = ground
			if mx > -2 && mx < cardW+2 && my > -2 && my < cardH+2 {
				plane[y*s.w+x] = s.cell(p, inverse, x, y, ground)
			}
			plane[y*s.w+x] *= float32(s.light(mx, my))
		}
	}
	blur(plane, s.w, s.h, s.blur)
	return develop(plane, s, rand.New(rand.NewPCG(seed, 7))), m
}

// seen returns the millimetres of the card that are seen at x, y.
func (s shot) seen(inverse colour.Matrix, x, y float64) (mx, my float64) {
	if s.barrel != 0 {
		dx, dy := x-float64(s.w)/2, y-float64(s.h)/2
		r := (dx*dx + dy*dy) / float64(s.w*s.w+s.h*s.h) * 4
		x, y = x+dx*s.barrel*r, y+dy*s.barrel*r
	}
	v := inverse.Apply([3]float64{x, y, 1})
	mx, my = v[0]/v[2], v[1]/v[2]
	along := 2*mx/cardW - 1
	return mx, my + s.curl*(1-along*along)
}

// cell is the mean reflectance of four places in a cell.
func (s shot) cell(p *printed, inverse colour.Matrix, x, y int, ground float32) float32 {
	const sub = 2
	var sum float32
	for k := range sub * sub {
		mx, my := s.seen(inverse, float64(x)+(float64(k%sub)+0.5)/sub, float64(y)+(float64(k/sub)+0.5)/sub)
		r, on := p.at(mx, my)
		if c := s.covered; c != nil && mx > float64(c.X) && mx < float64(c.X+c.W) && my > float64(c.Y) && my < float64(c.Y+c.H) {
			r, on = 0.12, true
		}
		if !on {
			r = ground
		}
		sum += r
	}
	return sum / (sub * sub)
}

// light is the illumination at x, y millimetres of the card.
func (s shot) light(x, y float64) float64 {
	v := 1 + s.slope*(x/cardW-0.5)
	if s.shade != 0 {
		across := (x - cardW*0.6) + 0.5*(y-cardH/2)
		v *= s.shade + (1-s.shade)/(1+math.Exp(-across/2))
	}
	return v * 0.8
}

func develop(plane []float32, s shot, r *rand.Rand) *colour.Field {
	f := colour.NewField(s.w, s.h, 1)
	for i, v := range plane {
		n := s.noise * math.Sqrt(float64(v)+0.02) * r.NormFloat64()
		for c := range 3 { // grey noise: the finder looks at luminance only
			f.RGB[3*i+c] = float32(min(max(float64(v)+n, 0), 1))
		}
	}
	return f
}

// blur is a separable Gaussian of the given standard deviation.
func blur(p []float32, w, h int, sigma float64) {
	if sigma <= 0 {
		return
	}
	n := int(3*sigma) + 1
	kernel := make([]float32, 2*n+1)
	var sum float32
	for i := range kernel {
		d := float64(i-n) / sigma
		kernel[i] = float32(math.Exp(-d * d / 2))
		sum += kernel[i]
	}
	line := make([]float32, max(w, h))
	pass := func(start, stride, count int) {
		for i := range count {
			line[i] = p[start+i*stride]
		}
		for i := range count {
			var v float32
			for k, weight := range kernel {
				v += weight * line[min(max(i+k-n, 0), count-1)]
			}
			p[start+i*stride] = v / sum
		}
	}
	for y := range h {
		pass(y*w, 1, w)
	}
	for x := range w {
		pass(x, w, h)
	}
}

// worstStep is how far, in millimetres, the middle of a grey step or window as
// found lies from where it is seen.
func worstStep(f Found, s shot, truth colour.Matrix) float64 {
	l := NewLayout()
	inverse, _ := truth.Inverse()
	worst := 0.0
	boxes := []Box{l.Swatch, l.Hide}
	for _, step := range l.Steps {
		boxes = append(boxes, step.Box)
	}
	for _, b := range boxes {
		mid := Point{b.X + b.W/2, b.Y + b.H/2}
		p := f.Pixel(mid)
		x, y := s.seen(inverse, p.X, p.Y)
		worst = max(worst, math.Hypot(x-float64(mid.X), y-float64(mid.Y)))
	}
	return worst
}

// cornerError is the mean distance of the card's corners as found from the truth.
func cornerError(f Found, truth colour.Matrix) float64 {
	sum := 0.0
	for _, c := range (Box{0, 0, cardW, cardH}).Corners() {
		a, b := f.Pixel(c), project(truth, c)
		sum += math.Hypot(a.X-b.X, a.Y-b.Y)
	}
	return sum / 4
}
