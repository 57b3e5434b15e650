package calibrate

import (
	"bytes"
	"image"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"evenhide/calibrate/photo"
	"evenhide/calibrate/scene"
	"evenhide/colour"
	"evenhide/colour/surface"
)

// bench is a made-up view of a bench: what lies there, and the light on it.
type bench struct {
	w, h  int
	light func(x, y float64) [3]float64
	tone  func(float64) float64
	noise float64
	at    func(x, y float64) colour.LinearRGB // reflectance
}

func evenly(float64, float64) [3]float64 { return [3]float64{1, 1, 1} }

// field photographs the bench.
func (b bench) field() *colour.Field {
	r := rand.New(rand.NewPCG(11, 4))
	f := colour.NewField(b.w, b.h, 1)
	for i := range b.w * b.h {
		x, y := float64(i%b.w)+.5, float64(i/b.w)+.5
		c, l := b.at(x, y), b.light(x, y)
		for k, v := range [3]float64{c.R * l[0], c.G * l[1], c.B * l[2]} {
			v = b.tone(v)
			if b.noise > 0 {
				v *= 1 + b.noise*r.NormFloat64()
			}
			if v >= 1 {
				f.Clipped[i] = 255
			}
			f.RGB[3*i+k] = float32(min(v, 1))
		}
	}
	return f
}

func grey(v float64) colour.LinearRGB { return colour.LinearRGB{R: v, G: v, B: v} }

// rectangle reports whether x, y lies in a rectangle.
func rectangle(x, y, x0, y0, x1, y1 float64) bool { return x >= x0 && x < x1 && y >= y0 && y < y1 }

func asIs(c colour.LinearRGB) colour.LinearRGB { return c }

// lamp is a second-order surface in log light, stronger in one channel than the
// other: 30 % over the field.
func lamp(w, h float64) func(x, y float64) [3]float64 {
	return func(x, y float64) [3]float64 {
		u, v := x/w-.5, y/h-.5
		s := -.35 + .16*u - .1*v - .2*u*u + .05*u*v - .12*v*v
		return [3]float64{math.Exp(s + .03*u), math.Exp(s), math.Exp(s - .04*v)}
	}
}

// wood is a bench with planks.
func wood(_, y float64) colour.LinearRGB {
	l := .25 * (1 + .3*math.Sin(y/23)) * (1 + .1*math.Sin(y*1.7))
	return colour.LinearRGB{R: 1.3 * l, G: l, B: .6 * l}
}

// rendered is a photo of a random scene.
type rendered struct {
	field *colour.Field
	truth scene.Truth
	scene scene.Scene
	steps []Step
	card  []Polygon // all that is no piece, as one card would hold it
}

func spectra(t testing.TB) *scene.Spectra {
	t.Helper()
	s, err := scene.Load(os.DirFS("../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// render photographs a random scene, width pixels wide, as a JPEG.
func render(t testing.TB, s *scene.Spectra, seed uint64, level scene.Disturbance, width int) rendered {
	t.Helper()
	sc := scene.Random(seed, level)
	sc.Width, sc.Height = width, width*3/4
	img, truth, err := scene.Render(sc, s)
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := scene.WriteJPEG(&file, img, scene.File{Quality: 92, P3: sc.Camera.P3}); err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(bytes.NewReader(file.Bytes()), "scene", photo.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	r := rendered{field: p.Field, truth: truth, scene: sc}
	var corners []Point
	for _, it := range truth.Items {
		if it.Kind == scene.Piece {
			continue
		}
		corners = append(corners, outlineOf(it)...)
		if it.Kind == scene.Step {
			r.steps = append(r.steps, Step{Region: surface.Region{Rect: p.Field.Cells(it.Box)}, L: it.NominalL})
		}
	}
	r.card = []Polygon{convex(corners)}
	return r
}

func outlineOf(it scene.ItemTruth) Polygon {
	var p Polygon
	for _, c := range it.Outline {
		p = append(p, Point{c.X, c.Y})
	}
	return p
}

// sheet finds the sheet by the steps' own tone curve.
func (r rendered) sheet() (*Sheet, error) {
	cal, err := Fit(r.field, r.steps)
	if err != nil {
		return nil, err
	}
	return FindSheet(r.field, cal.Develop, r.card)
}

// filled returns the cells of a box within a polygon.
func filled(p Polygon, r image.Rectangle) []bool {
	in := make([]bool, r.Dx()*r.Dy())
	for y := range r.Dy() {
		from, to := p.across(float64(y+r.Min.Y) + .5)
		for i := range from {
			x := max(int(math.Ceil(from[i]-.5))-r.Min.X, 0)
			for ; x < r.Dx() && float64(x+r.Min.X)+.5 <= to[i]; x++ {
				in[y*r.Dx()+x] = true
			}
		}
	}
	return in
}

// overlap returns the intersection of two polygons over their union, within a w by h
// field.
func overlap(a, b Polygon, w, h int) float64 {
	if a.box().Intersect(b.box()).Empty() {
		return 0
	}
	r := a.box().Union(b.box()).Intersect(image.Rect(0, 0, w, h))
	inA, inB := filled(a, r), filled(b, r)
	both, either := 0, 0
	for i := range inA {
		if inA[i] && inB[i] {
			both++
		}
		if inA[i] || inB[i] {
			either++
		}
	}
	return float64(both) / float64(max(either, 1))
}
