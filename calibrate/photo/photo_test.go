package photo

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

const testdata = "../../testdata/photo"

func TestSixteenBitsAreKept(t *testing.T) {
	const code = 0x8040 // between the 8-bit codes 0x80 and 0x81
	img := image.NewNRGBA64(image.Rect(0, 0, 3, 2))
	grey := image.NewGray16(img.Rect)
	for y := range 2 {
		for x := range 3 {
			img.SetNRGBA64(x, y, color.NRGBA64{code, code + 1, 257, 0xffff})
			grey.SetGray16(x, y, color.Gray16{code})
		}
	}
	decode := colour.SRGB().Decode
	want := [3]float64{decode(code / 65535.), decode((code + 1) / 65535.), decode(257 / 65535.)}
	check := func(name string, data []byte, want [3]float64) {
		p := decodeBytes(t, data, Limits{})
		for c := range 3 {
			if got := float64(p.Field.RGB[c]); math.Abs(got-want[c]) > sumTolerance || p.Bits != 16 {
				t.Errorf("%s: channel %d is %.7f with %d bits, want %.7f with 16", name, c, got, p.Bits, want[c])
			}
		}
	}
	check("RGB PNG", pngWith(t, img, "", nil), want)
	check("RGB TIFF", tiffOf(t, img), want)
	check("grey PNG", pngWith(t, grey, "", nil), [3]float64{want[0], want[0], want[0]})
	check("grey TIFF", tiffOf(t, grey), [3]float64{want[0], want[0], want[0]})
}

func decodeBytes(t testing.TB, data []byte, lim Limits) *Photo {
	t.Helper()
	p, err := Decode(bytes.NewReader(data), "tan.jpg", lim)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func read(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(testdata, name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// refused checks an error's kind, whole text and hint.
func refused(t *testing.T, err, kind error, text, hint string) {
	t.Helper()
	var r *refusal.Error
	if !errors.As(err, &r) || !errors.Is(err, kind) {
		t.Errorf("error %v (%T), want kind %v", err, err, kind)
		return
	}
	if r.What != text {
		t.Errorf("error\n got %s\nwant %s", r.What, text)
	}
	if r.Hint != hint {
		t.Errorf("hint\n got %s\nwant %s", r.Hint, hint)
	}
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestDecodeWithoutReadAt reads through Seek and Read alone.
func TestDecodeWithoutReadAt(t *testing.T) {
	for name, data := range map[string][]byte{"JPEG": read(t, "420.jpg"), "TIFF": tiffOf(t, noise(9, 7))} {
		p, err := Decode(struct{ io.ReadSeeker }{bytes.NewReader(data)}, "tan.jpg", Limits{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if want := decodeBytes(t, data, Limits{}); !slices.Equal(p.Field.RGB, want.Field.RGB) {
			t.Errorf("%s: other light than with ReadAt", name)
		}
	}
}
