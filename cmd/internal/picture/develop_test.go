package picture

import (
	"image"
	"math"
	"testing"

	"evenhide/colour"
	"evenhide/colour/surface"
)

// developBoth returns the photo of s as the picture has it and as the
// calibration makes it pixel by pixel.
func developBoth(s Subject) (got, want *image.RGBA) {
	v := newView(s.Field, s.Long)
	got, want = image.NewRGBA(v.ground), image.NewRGBA(v.ground)
	v.develop(got, s.Field, s.Develop)
	d := darkroom{v, s.Develop, encodeTable()}
	xs, ys := newTaps(v.cells.X, v.photo.Dx()), newTaps(v.cells.Y, v.photo.Dy())
	wide, row := make([]float32, 3*s.Field.W), make([]float32, 3*v.photo.Dx())
	for y := range v.photo.Dy() {
		ys.column(s.Field, y, wide)
		xs.row(wide, row)
		d.print(want.Pix[want.PixOffset(v.photo.Min.X, v.photo.Min.Y+y):], row, y)
	}
	return got, want
}

// worst returns the largest difference of two pictures' bytes.
func worst(a, b *image.RGBA) int {
	most := 0
	for i := range a.Pix {
		off := int(a.Pix[i]) - int(b.Pix[i])
		most = max(most, off, -off)
	}
	return most
}

func TestTonesAgreeWithTheCalibration(t *testing.T) {
	s := wallet(t)
	s.Long = 700
	plain := s.Develop
	for name, dev := range map[string]surface.Develop{
		"calibration": plain,
		"calibration after a light that halves across the photo": func(x, y float64, c colour.LinearRGB) colour.LinearRGB {
			by := 1 + x/float64(s.Field.W) + .2*y/float64(s.Field.H)
			return plain(x, y, colour.LinearRGB{R: c.R * by, G: c.G * by, B: c.B * by})
		},
	} {
		s.Develop = dev
		d := darkroom{newView(s.Field, s.Long), dev, encodeTable()}
		if !d.tones().trusted(s.Field, d) {
			t.Errorf("%s: not trusted", name)
		}
		got, want := developBoth(s)
		// Between the nodes and levels the curves are taken for straight; worst
		// where the tone curve meets black.
		const most = 3
		off := worst(got, want)
		if t.Logf("%s: at most %d of 255 off", name, off); off > most {
			t.Errorf("%s: %d of 255 off, want at most %d", name, off, most)
		}
	}
}

// TestTonesAreNotTrustedBlindly develops what no table by channel can: the
// picture is then made by the calibration itself.
func TestTonesAreNotTrustedBlindly(t *testing.T) {
	s := wallet(t)
	s.Long = 300
	for name, dev := range map[string]surface.Develop{
		"channels mixed": func(_, _ float64, c colour.LinearRGB) colour.LinearRGB {
			return colour.LinearRGB{R: .6*c.R + .4*c.B, G: c.G, B: c.B}
		},
		"light that ripples": func(x, _ float64, c colour.LinearRGB) colour.LinearRGB {
			by := 1 + .3*math.Sin(x/20)
			return colour.LinearRGB{R: c.R * by, G: c.G * by, B: c.B * by}
		},
	} {
		s.Develop = dev
		d := darkroom{newView(s.Field, s.Long), dev, encodeTable()}
		if d.tones().trusted(s.Field, d) {
			t.Errorf("%s: trusted", name)
		}
		if got, want := developBoth(s); worst(got, want) != 0 {
			t.Errorf("%s: not what the calibration makes", name)
		}
	}
}

// TestWhiteAndGreys holds bytes to the sRGB function worked out apart: a
// reflectance of 0.2140 is half of full scale in sRGB (IEC 61966-2-1).
func TestWhiteAndGreys(t *testing.T) {
	for light, want := range map[float32]uint8{-1: 0, 0: 0, 1: white, 9: 255, float32(math.NaN()): 0, float32(math.Inf(1)): 255} {
		f := colour.NewField(4, 3, 1)
		for i := range f.RGB {
			f.RGB[i] = light
		}
		img := Draw(Subject{Field: f, Long: 64})
		if got := img.RGBAAt(32, 24); got.R != want || got.G != want || got.B != want {
			t.Errorf("light %g became %v, want %d", light, got, want)
		}
	}
	full := colour.SRGB().Decode(white / 255.0)
	d := darkroom{table: encodeTable()}
	if got := d.encode(.21404 / full); math.Abs(float64(got)-127.5) > .05 {
		t.Errorf("half of full scale became %.2f, want 127.5", got)
	}
}

// TestPhotoKeepsItsPlaceAndLight holds that scaling moves nothing and loses no
// light, smaller and larger, whole numbers of cells a pixel or not.
func TestPhotoKeepsItsPlaceAndLight(t *testing.T) {
	for _, c := range []struct{ cells, pixels int }{{100, 100}, {300, 100}, {170, 100}, {40, 100}, {1, 100}, {100, 1}, {3, 2}} {
		taps := newTaps(c.cells, c.pixels)
		used := make([]float64, c.cells)
		for i := range c.pixels {
			sum, at := 0.0, 0.0
			for k, w := range taps.weight[taps.first[i]:taps.first[i+1]] {
				sum += float64(w)
				at += float64(w) * (float64(taps.from[i]+k) + .5)
				used[taps.from[i]+k] += float64(w) * float64(c.cells) / float64(c.pixels)
			}
			step := float64(c.cells) / float64(c.pixels)
			// Half a cell is what an edge or a part of a cell may shift a pixel by.
			if mid := (float64(i) + .5) * step; math.Abs(sum-1) > 1e-5 || math.Abs(at-mid) > .5 {
				t.Errorf("%d cells to %d pixels: pixel %d has weight %.4f at %.2f, want 1 at %.2f", c.cells, c.pixels, i, sum, at, mid)
			}
		}
		for k, u := range used {
			if c.cells >= c.pixels && math.Abs(u-1) > 1e-5 {
				t.Errorf("%d cells to %d pixels: cell %d counts %.4f times", c.cells, c.pixels, k, u)
			}
		}
	}
}
