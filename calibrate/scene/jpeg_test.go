package scene

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"math"
	"testing"
	"time"

	"github.com/bep/imagemeta"
	"github.com/disintegration/imaging"
)

// corners is a picture whose four corners are told apart.
func corners() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 64, 32))
	for y := range 32 {
		for x := range 64 {
			v := uint8(40*(x/32) + 120*(y/16) + 20)
			copy(img.Pix[y*img.Stride+4*x:], []uint8{v, v, v, 255})
		}
	}
	return img
}

func TestOrientationComesUpright(t *testing.T) {
	const jpegLoss = 3 // codes, flat areas at quality 90
	want := corners()
	for o := range 9 {
		var buf bytes.Buffer
		if err := WriteJPEG(&buf, want, File{Orientation: o}); err != nil {
			t.Fatal(err)
		}
		got, err := imaging.Decode(bytes.NewReader(buf.Bytes()), imaging.AutoOrientation(true))
		if err != nil {
			t.Fatal(err)
		}
		if got.Bounds().Size() != want.Rect.Size() {
			t.Errorf("orientation %d: %v", o, got.Bounds())
			continue
		}
		for _, p := range []image.Point{{8, 8}, {56, 8}, {8, 24}, {56, 24}} {
			a, _, _, _ := got.At(p.X, p.Y).RGBA()
			if b := want.RGBAAt(p.X, p.Y).R; math.Abs(float64(a>>8)-float64(b)) > jpegLoss {
				t.Errorf("orientation %d at %v: %d, want %d", o, p, a>>8, b)
			}
		}
	}
	if err := WriteJPEG(&bytes.Buffer{}, want, File{Orientation: 9}); err == nil {
		t.Error("orientation 9 was taken")
	}
}

func TestCaptureTimeAndOrientationAreRead(t *testing.T) {
	taken := time.Date(2026, 3, 14, 9, 26, 53, 0, time.UTC)
	var buf bytes.Buffer
	if err := WriteJPEG(&buf, corners(), File{Orientation: 6, Taken: taken, P3: true, Camera: "Marsh 1"}); err != nil {
		t.Fatal(err)
	}
	var tags imagemeta.Tags
	_, err := imagemeta.Decode(imagemeta.Options{R: bytes.NewReader(buf.Bytes()), ImageFormat: imagemeta.JPEG, Sources: imagemeta.EXIF,
		HandleTag: func(ti imagemeta.TagInfo) error { tags.Add(ti); return nil }})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := tags.GetDateTime(); err != nil || got.Format(time.DateTime) != taken.Format(time.DateTime) {
		t.Errorf("taken %v, %v", got, err)
	}
	if got := tags.EXIF()["Orientation"].Value; got != uint16(6) {
		t.Errorf("orientation %v", got)
	}
	if got := tags.EXIF()["Model"].Value; got != "Marsh 1" {
		t.Errorf("camera %v", got)
	}
	if _, err := jpeg.Decode(bytes.NewReader(buf.Bytes())); err != nil {
		t.Error(err)
	}
}

func TestProfileP3(t *testing.T) {
	b := profileP3()
	if int(binary.BigEndian.Uint32(b)) != len(b) || string(b[36:40]) != "acsp" {
		t.Fatalf("header % x", b[:40])
	}
	tags := map[string][]byte{}
	for i := range int(binary.BigEndian.Uint32(b[128:])) {
		e := b[132+12*i:]
		at, size := binary.BigEndian.Uint32(e[4:]), binary.BigEndian.Uint32(e[8:])
		if at%4 != 0 {
			t.Errorf("%s at %d", e[:4], at)
		}
		tags[string(e[:4])] = b[at:][:size]
	}
	value := func(tag string, i int) float64 {
		return float64(int32(binary.BigEndian.Uint32(tags[tag][8+4*i:]))) / 65536
	}
	// The primaries of Display P3 under D50 as its common profile holds them, from
	// memory to four decimals.
	const fourDecimals = 1e-4
	for tag, want := range map[string][3]float64{"rXYZ": {.5151, .2412, -.0011}, "gXYZ": {.2920, .6922, .0419}, "bXYZ": {.1571, .0666, .7841}} {
		for i := range want {
			if got := value(tag, i); math.Abs(got-want[i]) > fourDecimals {
				t.Errorf("%s[%d] %.5f, want %.4f", tag, i, got, want[i])
			}
		}
	}
	for i, want := range []float64{.9642, 1, .8249} { // the three add up to the profile's white
		const rounding = 2e-4
		if got := value("rXYZ", i) + value("gXYZ", i) + value("bXYZ", i); math.Abs(got-want) > rounding {
			t.Errorf("white %d: %.5f", i, got)
		}
	}
}
