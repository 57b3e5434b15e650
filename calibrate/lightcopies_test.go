package calibrate

import (
	"image"
	"math"
	"testing"

	"evenhide/colour"
	"evenhide/colour/surface"
)

// twoRows is a photo of two rows of greys in opposite order, their copies far
// apart along both axes or, turned, along both at once. Light falls off along the
// rows and across them. Each grey is off by its own percent or so.
type twoRows struct {
	turn  float64 // radians
	along float64 // log light a cell along the rows; across them it is a third less, the other way
}

const copySide = 20 // cells

// at returns the place on the photo of one on the rows: x along them, y across.
func (r twoRows) at(x, y float64) Point {
	s, c := math.Sincos(r.turn)
	return Point{200 + c*x - s*y, 200 + s*x + c*y}
}

func (r twoRows) light(p Point) float64 {
	s, c := math.Sincos(r.turn)
	x, y := p.X-200, p.Y-200
	return math.Exp(r.along * ((c*x + s*y) - 2./3*(c*y-s*x)))
}

func (r twoRows) fit(t *testing.T) (*Calibration, []Step, *colour.Field) {
	t.Helper()
	f := colour.NewField(400, 400, 1)
	var steps []Step
	for i := range 24 {
		row, level := i/12, i%12
		if row == 1 {
			level = 11 - level
		}
		l := 95 - 6*float64(level)
		p := r.at(copySide*1.5*(float64(i%12)-5.5), 100*(float64(row)-.5))
		x, y := int(math.Round(p.X)), int(math.Round(p.Y))
		rect := image.Rect(x-copySide/2, y-copySide/2, x+copySide/2, y+copySide/2)
		off := 1 + .01*math.Sin(float64(i*i))
		for y := rect.Min.Y; y < rect.Max.Y; y++ {
			for x := rect.Min.X; x < rect.Max.X; x++ {
				v := float32(.5 * off * colour.Luminance(l) * r.light(Point{float64(x) + .5, float64(y) + .5}))
				copy(f.RGB[3*(y*f.W+x):], []float32{v, v, v})
			}
		}
		steps = append(steps, Step{Region: surface.Region{Rect: rect}, L: l})
	}
	cal, err := Fit(f, steps)
	if err != nil {
		t.Fatal(err)
	}
	return cal, steps, f
}

func TestLightOfCopies(t *testing.T) {
	for _, turn := range []float64{0, .5, 2} {
		r := twoRows{turn, -.0012}
		cal, steps, f := r.fit(t)
		light := cal.LightOfCopies()
		if light == nil {
			t.Fatal("no light from the copies")
		}
		// The first curve was fitted through greys in uneven light, and is a little off.
		const tolerance = .02
		for _, p := range []Point{r.at(0, 100), r.at(0, -100), r.at(100, 0), r.at(-100, 0)} {
			want := r.light(p) / r.light(Point{200, 200})
			got := light.At(p.X, p.Y).G
			t.Logf("turned by %g, light %.4f at %v, want %.4f", turn, got, p, want)
			if math.Abs(got/want-1) > tolerance {
				t.Errorf("turned by %g, light %.3f at %v, want %.3f", turn, got, p, want)
			}
		}
		if one, err := Fit(f, steps[:12]); err != nil || one.LightOfCopies() != nil {
			t.Errorf("light from greys without copies (%v)", err)
		}
	}
}

// However the card lies, the light along it and across it is known as well.
func TestLightOfCopiesIsAsSureOfATurnedCard(t *testing.T) {
	said := func(r twoRows) (out []float64) {
		cal, _, _ := r.fit(t)
		light := cal.LightOfCopies()
		for _, to := range []Point{r.at(100, 0), r.at(0, 100), r.at(70, 70), r.at(70, -70)} {
			level, tint := light.Relative(200, 200, to.X, to.Y)
			if tint > 1e-12 {
				t.Errorf("tint %g from greys that say nothing of it", tint)
			}
			out = append(out, level)
		}
		return out
	}
	straight := said(twoRows{0, 0})
	const rounding = .02 // greys lie on whole cells, half a cell off in some tens
	for _, turn := range []float64{.5, 1.2, 2} {
		for i, level := range said(twoRows{turn, 0}) {
			t.Logf("turned by %g: %.5f, straight %.5f", turn, level, straight[i])
			if straight[i] < 1e-4 || math.Abs(level/straight[i]-1) > rounding {
				t.Errorf("turned by %g the light is uncertain by %.5f, straight by %.5f", turn, level, straight[i])
			}
		}
	}
}

// The modes' squares must sum to the covariance of a least squares fit: the
// variance of the misfit times the inverse of the normal matrix, worked out here
// from the greys' places.
func TestLightOfCopiesModesAreTheCovariance(t *testing.T) {
	cal, _, _ := twoRows{.5, 0}.fit(t)
	light := cal.LightOfCopies()
	var xx, xy, yy, misfit float64
	pairs := 0.0
	for i := 1; i < len(cal.Steps); i++ {
		if a, b := cal.Steps[i-1], cal.Steps[i]; a.L == b.L {
			ax, ay := a.Centre()
			bx, by := b.Centre()
			x, y := ax-bx, ay-by
			xx, xy, yy, pairs = xx+x*x, xy+x*y, yy+y*y, pairs+1
			off := logRatio(cal.Develop(a.Mean), cal.Develop(b.Mean))[1] - light.channels[1][1]*x - light.channels[1][2]*y
			misfit += off * off
		}
	}
	var got [3]float64
	for _, m := range light.modes {
		got[0], got[1], got[2] = got[0]+m[1][1]*m[1][1], got[1]+m[1][1]*m[1][2], got[2]+m[1][2]*m[1][2]
	}
	variance := misfit / (pairs - 2)
	// covariance · normal = variance · identity
	for i, v := range [4]float64{got[0]*xx + got[1]*xy, got[0]*xy + got[1]*yy, got[1]*xx + got[2]*xy, got[1]*xy + got[2]*yy} {
		want := 0.0
		if i == 0 || i == 3 {
			want = variance
		}
		const rounding = 1e-6 // greys without colour: all channels are green's to single precision
		if math.Abs(v-want) > rounding*variance*math.Max(xx, yy)/math.Min(xx, yy) {
			t.Errorf("entry %d of covariance·normal is %.3g, want %.3g", i, v, want)
		}
	}
}
