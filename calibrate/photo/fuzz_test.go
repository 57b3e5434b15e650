package photo

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

// FuzzDecode: whatever the bytes, a photo with a sound Field or a refusal that
// begins with the name and has a hint.
func FuzzDecode(f *testing.F) {
	names, err := filepath.Glob(filepath.Join(testdata, "*.jpg"))
	if err != nil || len(names) == 0 {
		f.Fatal("no seeds in ", testdata)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	profile := iccOf("RGB ", spaceTags(colour.DisplayP3(), mlucTag("Display P3"), srgbPara())...)
	f.Add(withEXIF(withProfile(read(f, "420.jpg"), profile, 2), exifOrientation(6)))
	f.Add(pngWith(f, noise(7, 5), "iCCP", iccp(profile)))
	f.Add(pngWith(f, noise(7, 5), "eXIf", exifOrientation(8)))
	f.Add(tiffOf(f, noise(7, 5)))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Decode(bytes.NewReader(data), "tan.jpg", Limits{MaxPixels: 1e5, MaxCells: 1000})
		if err != nil {
			var r *refusal.Error
			if !errors.As(err, &r) || r.Hint == "" || r.Kind == nil || !bytes.HasPrefix([]byte(r.What), []byte("tan.jpg: ")) {
				t.Fatalf("not a refusal with name, kind and hint: %v", err)
			}
			return
		}
		fd := p.Field
		if p.Width <= 0 || p.Height <= 0 || fd.W*fd.H > 1000 || fd.W != cells(p.Width, fd.Cell) || fd.H != cells(p.Height, fd.Cell) {
			t.Fatalf("%d × %d pixels in %d × %d cells of %d", p.Width, p.Height, fd.W, fd.H, fd.Cell)
		}
		for _, v := range fd.RGB {
			if !(math.Abs(float64(v)) < 100) {
				t.Fatalf("light %v", v)
			}
		}
		for _, v := range fd.Grain {
			if !(v >= 0 && v < 100) {
				t.Fatalf("grain %v", v)
			}
		}
	})
}

// FuzzProfile: a profile is refused, or its curves stay finite and its greys
// near grey.
func FuzzProfile(f *testing.F) {
	p3 := colour.DisplayP3()
	f.Add(iccOf("RGB ", spaceTags(p3, mlucTag("Display P3"), srgbPara())...))
	f.Add(iccOf("RGB ", spaceTags(p3, descTag("Phone"), curvTag(563))...))
	f.Add(iccOf("RGB ", spaceTags(p3, descTag("Phone"), curvTag(0, 9000, 65535))...))
	f.Add(iccOf("RGB ", spaceTags(p3, descTag("Phone"), paraTag(4, 2.4, .9, .1, .08, .04, .01, 0))...))
	f.Add(iccOf("GRAY", iccTag{"desc", descTag("Grey")}, iccTag{"kTRC", curvTag()}))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := parseProfile(data)
		if err != nil {
			if !errors.Is(err, ErrProfile) {
				t.Fatalf("not ErrProfile: %v", err)
			}
			return
		}
		e := p.encoding()
		white := e.toWorking.Apply([3]float64{1, 1, 1})
		for c, v := range white {
			if !(math.Abs(v-1) < 0.2) {
				t.Fatalf("white is %v in channel %d", v, c)
			}
		}
		e.tables(256)
	})
}
