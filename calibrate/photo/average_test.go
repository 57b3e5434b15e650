package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"evenhide/colour"
)

// sumTolerance is what whole-number sums (2^-25 a pixel) and a float32 result
// (2^-25 of it) may differ from float64 arithmetic.
const sumTolerance = 1e-7

// reference averages a picture the slow way: pixel by pixel through img.At, in
// float64, upright by copying, without grain.
func reference(img image.Image, turn, cell int) *colour.Field {
	size := img.Bounds().Size()
	up := size
	if turn >= 5 {
		up = image.Pt(size.Y, size.X)
	}
	f := colour.NewField((up.X+cell-1)/cell, (up.Y+cell-1)/cell, cell)
	space := colour.SRGB()
	type sum struct {
		c       [3]float64
		n, clip float64
	}
	sums := make([]sum, f.W*f.H)
	for y := range up.Y {
		for x := range up.X {
			sx, sy := storedAt(x, y, up, turn)
			c, clipped := straight(img, sx, sy)
			l := space.Linear(c)
			s := &sums[y/cell*f.W+x/cell]
			s.c[0], s.c[1], s.c[2], s.n = s.c[0]+l.R, s.c[1]+l.G, s.c[2]+l.B, s.n+1
			if clipped {
				s.clip++
			}
		}
	}
	for i, s := range sums {
		for c := range 3 {
			f.RGB[3*i+c] = float32(s.c[c] / s.n)
		}
		f.Clipped[i] = uint8(math.Round(255 * s.clip / s.n))
	}
	return f
}

// straight returns a pixel's codes and whether it counts as clipped.
func straight(img image.Image, x, y int) (colour.EncodedRGB, bool) {
	switch c := img.At(x, y).(type) {
	case color.YCbCr: // JFIF, to the nearest quarter of a code
		amplified := 1.0
		if a, ok := img.(interface{ factor() float64 }); ok {
			amplified = a.factor()
		}
		l, b, r := float64(c.Y), (float64(c.Cb)-128)/amplified, (float64(c.Cr)-128)/amplified
		code := func(v float64) float64 { return min(max(math.Floor(4*v+.5)/4, 0), 255) }
		red, green, blue := code(l+1.402*r), code(l-.344136*b-.714136*r), code(l+1.772*b)
		return colour.EncodedRGB{R: red / 255, G: green / 255, B: blue / 255}, max(red, green, blue) >= 254
	case color.Gray:
		return colour.EncodedRGB{R: float64(c.Y) / 255, G: float64(c.Y) / 255, B: float64(c.Y) / 255}, c.Y >= 254
	case color.RGBA:
		return colour.EncodedRGB{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255},
			max(c.R, c.G, c.B) >= 254
	}
	r, g, b, _ := img.At(x, y).RGBA()
	return colour.EncodedRGB{R: float64(r) / 65535, G: float64(g) / 65535, B: float64(b) / 65535},
		max(r, g, b) >= 254*257
}

func (a *amplified) factor() float64 { return a.chroma }

func checkField(t *testing.T, got, want *colour.Field) {
	t.Helper()
	if got.W != want.W || got.H != want.H || got.Cell != want.Cell {
		t.Fatalf("Field is %d × %d cells of %d, want %d × %d of %d", got.W, got.H, got.Cell, want.W, want.H, want.Cell)
	}
	worst := 0.0
	for i, v := range want.RGB {
		worst = max(worst, math.Abs(float64(v)-float64(got.RGB[i])))
	}
	if worst > sumTolerance {
		t.Errorf("light differs by up to %.3g, want at most %.3g", worst, sumTolerance)
	}
	if !slices.Equal(got.Clipped, want.Clipped) {
		t.Errorf("clipped shares differ")
	}
}

// codings are JPEGs of one drawing; each decodes to samples of another shape.
func codings() []string {
	return []string{"444.jpg", "422.jpg", "420.jpg", "440.jpg", "411.jpg", "progressive.jpg", "grey.jpg", "grey-progressive.jpg"}
}

func TestJPEGAgreesWithSlowReference(t *testing.T) {
	for _, name := range codings() {
		t.Run(name, func(t *testing.T) {
			data := read(t, name)
			img := decodedJPEG(t, data)
			for _, turn := range []int{1, 3, 6, 7} {
				for _, cell := range []int{1, 2, 3, 7} {
					p := decodeBytes(t, withEXIF(data, exifOrientation(uint16(turn))), Limits{MaxCells: cellsFor(61, 43, cell)})
					checkField(t, p.Field, reference(img, turn, cell))
				}
			}
		})
	}
}

// decodedJPEG returns the samples of a JPEG as Decode averages them.
func decodedJPEG(t testing.TB, data []byte) image.Image {
	t.Helper()
	src, err := newSource(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	h, err := openJPEG(src)
	if err != nil {
		t.Fatal(err)
	}
	img, err := h.decode()
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func cellsFor(w, h, cell int) int { return ((w + cell - 1) / cell) * ((h + cell - 1) / cell) }

// noise returns an opaque picture of random codes.
func noise(w, h int) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	r := rand.New(rand.NewPCG(1, 2))
	for i := range img.Pix {
		img.Pix[i] = uint8(r.Uint32())
		if i%4 == 3 {
			img.Pix[i] = 255
		}
	}
	return img
}

func TestEveryKindOfSamplesAgreesWithSlowReference(t *testing.T) {
	src := noise(29, 17)
	grey := image.NewGray(src.Rect)
	wide := image.NewNRGBA64(src.Rect)
	paletted := image.NewPaletted(src.Rect, color.Palette{color.RGBA{1, 2, 3, 255}, color.RGBA{200, 255, 7, 255}, color.RGBA{90, 80, 70, 255}})
	for i := range grey.Pix {
		grey.Pix[i], paletted.Pix[i] = src.Pix[4*i], src.Pix[4*i]%3
		for c := range 4 {
			binary.BigEndian.PutUint16(wide.Pix[8*i+2*c:], 256*uint16(src.Pix[4*i+c])+uint16(src.Pix[4*i+3-c]|255*uint8(c/3)))
		}
	}
	for name, img := range map[string]image.Image{"NRGBA": src, "grey": grey, "NRGBA64": wide, "paletted": paletted} {
		for _, cell := range []int{1, 3} {
			lim := Limits{MaxCells: cellsFor(29, 17, cell)}
			t.Run(name+" PNG", func(t *testing.T) {
				checkField(t, decodeBytes(t, pngWith(t, img, "", nil), lim).Field, reference(img, 1, cell))
			})
			t.Run(name+" TIFF", func(t *testing.T) {
				checkField(t, decodeBytes(t, tiffOf(t, img), lim).Field, reference(img, 1, cell))
			})
		}
	}
}

func TestAveragesAreOfLight(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 4, 4))
	for y := range 4 {
		for x := range 4 {
			img.SetGray(x, y, color.Gray{uint8(255 * ((x + y) & 1))})
		}
	}
	f := decodeBytes(t, pngWith(t, img, "", nil), Limits{MaxCells: 1}).Field
	// Half black and half white is half the light, not code 128 (light 0.216);
	// half of it is clipped; the variance of 0 and 1 is a quarter.
	if f.W != 1 || f.RGB[0] != 0.5 || f.RGB[1] != 0.5 || f.RGB[2] != 0.5 || f.Clipped[0] != 128 {
		t.Errorf("chequerboard: light %v, clipped %d, want 0.5 and 128", f.RGB, f.Clipped)
	}
	if math.Abs(float64(f.Grain[0])-0.25) > grainTolerance {
		t.Errorf("chequerboard: grain %.6f, want 0.25", f.Grain[0])
	}
}

// grainTolerance is what cutting the luminance weights to 1/65536 costs a
// variance of the size of full light.
const grainTolerance = 3e-5

func TestGrainAndClipping(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 12, 4))
	for y := range 4 {
		for x := range 12 {
			c := color.NRGBA{120, 60, 30, 255} // a flat cell
			switch {
			case x >= 8 && y == 0:
				c = color.NRGBA{253, 254, 0, 255} // a quarter of a cell clipped in one channel
			case x >= 4 && x < 8 && x&1 == 0:
				c = color.NRGBA{130, 60, 30, 255} // red varies
			}
			img.SetNRGBA(x, y, c)
		}
	}
	f := decodeBytes(t, pngWith(t, img, "", nil), Limits{MaxCells: 3}).Field
	if f.Cell != 4 || f.Grain[0] != 0 || f.Clipped[0] != 0 || f.Clipped[1] != 0 || f.Clipped[2] != 64 {
		t.Errorf("cell %d, grain %v, clipped %v; want 4, 0 first, and 0 0 64", f.Cell, f.Grain, f.Clipped)
	}
	space := colour.SRGB()
	half := space.ToXYZ[1][0] * (space.Decode(130/255.) - space.Decode(120/255.)) / 2
	if got, want := float64(f.Grain[1]), half*half; math.Abs(got-want) > 0.001*want { // two of 18 bits
		t.Errorf("grain %.4g, want %.4g", got, want)
	}
}
