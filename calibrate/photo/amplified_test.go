package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"testing"

	"evenhide/colour"
)

// flat returns a picture of one colour.
func flat(y, cb, cr uint8) *image.YCbCr {
	img := image.NewYCbCr(image.Rect(0, 0, 64, 64), image.YCbCrSubsampleRatio420)
	fill := func(plane []uint8, v uint8) {
		for i := range plane {
			plane[i] = v
		}
	}
	fill(img.Y, y)
	fill(img.Cb, cb)
	fill(img.Cr, cr)
	return img
}

// chromaStep is the first entry of the chroma table of ITU-T T.81's Annex K, 17, scaled
// to a quality as libjpeg does.
func chromaStep(quality int) float64 {
	scale := 200 - 2*quality
	if quality < 50 {
		scale = 5000 / quality
	}
	return float64(max((17*scale+50)/100, 1))
}

// Chroma comes out as the file holds it: for one colour a whole multiple of an eighth
// of the table's first entry, not of a code.
func TestChromaComesOutAsTheFileHoldsIt(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	space, worst, plainWorst := colour.SRGB(), 0.0, 0.0
	for quality := 50; quality <= 97; quality++ {
		for range 8 {
			cb, cr := uint8(100+r.IntN(57)), uint8(100+r.IntN(57))
			var buf bytes.Buffer
			if err := jpeg.Encode(&buf, flat(128, cb, cr), &jpeg.Options{Quality: quality}); err != nil {
				t.Fatal(err)
			}
			step := chromaStep(quality) / 8
			held := func(c uint8) float64 { return math.Round((float64(c)-128)/step) * step }
			// Luma of 128 is held exactly: its mean is 0 steps off the middle.
			red, blue := 128+1.402*held(cr), 128+1.772*held(cb)
			off := func(got colour.LinearRGB) float64 { // in codes
				slope := func(code float64) float64 { return space.Decode((code+.5)/255) - space.Decode((code-.5)/255) }
				return max(math.Abs(got.R-space.Decode(red/255))/slope(red), math.Abs(got.B-space.Decode(blue/255))/slope(blue))
			}
			worst = max(worst, off(decodeBytes(t, buf.Bytes(), Limits{}).Field.At(32, 32)))
			img, err := jpeg.Decode(&buf)
			if err != nil {
				t.Fatal(err)
			}
			rr, _, bb, _ := img.At(32, 32).RGBA()
			plainWorst = max(plainWorst, off(space.Linear(colour.EncodedRGB{R: float64(rr) / 65535, B: float64(bb) / 65535})))
		}
	}
	t.Logf("off by %.2f codes at most, by the standard library's codes %.2f", worst, plainWorst)
	// Half a quarter of a code for the nearest, and where steps are under 3/8 of a code
	// half an amplified code, 1.772·0.5/2.
	if most := .125 + 1.772*.25 + .02; worst > most {
		t.Errorf("off by %.2f codes, want at most %.2f", worst, most)
	}
}

func TestAmplification(t *testing.T) {
	for q := 1; q < 256; q++ {
		f := amplification(byte(q))
		if step := f * float64(q) / 8; q > 2 && math.Abs(step-math.Round(step)) > 1e-9 || f < 1 || f > 8./3 {
			t.Errorf("a table that begins with %d is amplified by %g, steps of %g codes", q, f, step)
		}
	}
}

// Strong colours would be clamped: their photo is decoded as it is.
func TestStrongChromaIsNotAmplified(t *testing.T) {
	for name, img := range map[string]*image.YCbCr{"strong": flat(128, 20, 235), "mild": flat(128, 110, 150)} {
		var buf bytes.Buffer
		if err := jpeg.Encode(&buf, img, &jpeg.Options{Quality: 92}); err != nil {
			t.Fatal(err)
		}
		decoded := decodedJPEG(t, buf.Bytes())
		if _, is := decoded.(*amplified); is != (name == "mild") {
			t.Errorf("%s: decoded as %T", name, decoded)
		}
	}
}

func TestTablesAfterTheFirstScanAreCounted(t *testing.T) {
	for _, size := range []int{1, 2, 7} { // of what is read at once
		c := &scanCounter{r: bytes.NewReader([]byte{0xff, 0xda, 1, 0xff, 0, 0xff, 0xdb, 9, 0xff, 0xff, 0xdb})}
		for buf := make([]byte, size); ; {
			if _, err := c.Read(buf); err != nil {
				break
			}
		}
		if c.scans != 1 || c.tables != 2 {
			t.Errorf("read by %d: %d scans and %d tables, want 1 and 2", size, c.scans, c.tables)
		}
	}
}
