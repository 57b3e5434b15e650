package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"testing"
)

// twelveMegapixels is the size of an ordinary phone photo.
func twelveMegapixels() image.Point { return image.Pt(4032, 3024) }

// textured returns a picture with the detail and the noise of a photo of leather.
func textured(size image.Point) *image.YCbCr {
	img := image.NewYCbCr(image.Rectangle{Max: size}, image.YCbCrSubsampleRatio420)
	state := uint32(1)
	for i := range img.Y {
		state = state*1664525 + 1013904223
		img.Y[i] = uint8(90 + i/img.YStride/40 + int(state>>28))
	}
	for i := range img.Cb {
		img.Cb[i], img.Cr[i] = uint8(110+i/img.CStride/100), uint8(150-i/img.CStride/200)
	}
	return img
}

// BenchmarkAverage is the pass from samples to the Field, beside
// BenchmarkDecoder, the standard library's decoding alone.
func BenchmarkAverage(b *testing.B) {
	size := twelveMegapixels()
	img := textured(size)
	enc, err := newEncoding(&header{}, about{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		l := newLayout(size, 6, Limits{}.cell(size))
		if err := average(img, l, enc, <-readyField(l)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDecoder(b *testing.B) {
	data := jpegOf(b, textured(twelveMegapixels()))
	for b.Loop() {
		if _, err := jpeg.Decode(bytes.NewReader(data)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkOpen(b *testing.B) {
	data := jpegOf(b, textured(twelveMegapixels()))
	for b.Loop() {
		decodeBytes(b, data, Limits{})
	}
}
