package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"math"
	"slices"
	"testing"

	"evenhide/colour"
)

// profileTolerance is what rounding colorants and curve parameters to 1/65536
// moves a channel: nine figures of 0.8e-5 through matrices with entries up to 3.
const profileTolerance = 1e-4

// p3Copy16 returns the picture's light coded in Display P3 at 16 bits, and in
// sRGB at 16 bits.
func twoCopies(w, h int) (p3, srgb *image.NRGBA64) {
	p3, srgb = image.NewNRGBA64(image.Rect(0, 0, w, h)), image.NewNRGBA64(image.Rect(0, 0, w, h))
	wide, narrow := colour.DisplayP3(), colour.SRGB()
	src := noise(w, h)
	for i := 0; i < len(src.Pix); i += 4 {
		c := colour.EncodedRGB{R: float64(src.Pix[i]) / 255, G: float64(src.Pix[i+1]) / 255, B: float64(src.Pix[i+2]) / 255}
		light := narrow.Linear(c)
		put(srgb, i, light)
		put(p3, i, wide.RGB(narrow.XYZ(light)))
	}
	return p3, srgb
}

func put(img *image.NRGBA64, i int, light colour.LinearRGB) {
	for c, v := range [3]float64{light.R, light.G, light.B} {
		if v > 0.0031308 { // the sRGB curve, forwards: IEC 61966-2-1
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		} else {
			v *= 12.92
		}
		binary.BigEndian.PutUint16(img.Pix[2*(i+c):], uint16(math.Round(65535*v)))
	}
	binary.BigEndian.PutUint16(img.Pix[2*(i+3):], 0xffff)
}

func TestDisplayP3AndSRGBCopiesAgree(t *testing.T) {
	p3, srgb := twoCopies(23, 17)
	profile := iccOf("RGB ", spaceTags(colour.DisplayP3(), mlucTag("Display P3"), srgbPara())...)
	want := decodeBytes(t, pngWith(t, srgb, "", nil), Limits{})
	ignored := decodeBytes(t, pngWith(t, p3, "", nil), Limits{})
	if worst := farthest(ignored.Field, want.Field); worst < 0.05 {
		t.Errorf("with the profile ignored the copies differ by %.4f only: the test shows nothing", worst)
	}
	tagged := map[string][]byte{
		"PNG":  pngWith(t, p3, "iCCP", iccp(profile)),
		"TIFF": tiffWithProfile(t, p3, profile),
	}
	for name, data := range tagged {
		got := decodeBytes(t, data, Limits{})
		if got.Profile != "Display P3" {
			t.Errorf("%s: profile %q, want Display P3", name, got.Profile)
		}
		if worst := farthest(got.Field, want.Field); worst > profileTolerance {
			t.Errorf("%s: the copies differ by %.3g, want at most %.3g", name, worst, profileTolerance)
		}
	}
}

// TestJPEGProfileInParts checks that parts of a profile are joined by number.
func TestJPEGProfileInParts(t *testing.T) {
	plain := read(t, "444.jpg")
	profile := iccOf("RGB ", spaceTags(colour.DisplayP3(), descTag("Display P3"), srgbPara())...)
	want := decodeBytes(t, withProfile(plain, profile, 1), Limits{})
	got := decodeBytes(t, withProfile(plain, profile, 7), Limits{})
	if got.Profile != "Display P3" || !slices.Equal(got.Field.RGB, want.Field.RGB) {
		t.Errorf("in seven parts: profile %q, or other light than in one", got.Profile)
	}
	red := decodeBytes(t, plain, Limits{}).Field.At(35, 26)
	if wide := got.Field.At(35, 26); wide.R <= red.R || wide.G >= 0 {
		t.Errorf("Display P3 red is %.3f, want it outside sRGB: more red than %.3f, green below 0", wide, red)
	}
}

func farthest(a, b *colour.Field) float64 {
	worst := 0.0
	for i := range a.RGB {
		worst = max(worst, math.Abs(float64(a.RGB[i])-float64(b.RGB[i])))
	}
	return worst
}

// TestSRGBProfileIsAsNone also shows that greys stay grey.
func TestSRGBProfileIsAsNone(t *testing.T) {
	_, srgb := twoCopies(9, 9)
	want := decodeBytes(t, pngWith(t, srgb, "", nil), Limits{})
	profile := iccOf("RGB ", spaceTags(colour.SRGB(), descTag("sRGB"), srgbPara())...)
	got := decodeBytes(t, pngWith(t, srgb, "iCCP", iccp(profile)), Limits{})
	if worst := farthest(got.Field, want.Field); worst > profileTolerance {
		t.Errorf("differs by %.3g, want at most %.3g", worst, profileTolerance)
	}
}

func TestAdobeRGBFromEXIF(t *testing.T) {
	exif := func(index string) []byte {
		return tiffStructure([]tiffEntry{{0x8769, 4, []byte("sub0")}},
			[]tiffEntry{{0xa001, 3, []byte{0xff, 0xff}}, {0xa005, 4, []byte("sub1")}},
			[]tiffEntry{{0x0001, 2, []byte(index + "\x00")}})
	}
	img := image.NewNRGBA(image.Rect(0, 0, 1, 1))
	img.SetNRGBA(0, 0, color.NRGBA{150, 100, 60, 255})
	p := decodeBytes(t, pngWith(t, img, "eXIf", exif("R03")), Limits{})
	adobe := colour.AdobeRGB()
	want := colour.SRGB().RGB(adobe.XYZ(adobe.Linear(colour.EncodedRGB{R: 150 / 255., G: 100 / 255., B: 60 / 255.})))
	if got := p.Field.At(0, 0); math.Abs(got.R-want.R)+math.Abs(got.G-want.G)+math.Abs(got.B-want.B) > 3*sumTolerance || p.Profile != "Adobe RGB (1998)" {
		t.Errorf("R03: %v as %q, want %v as Adobe RGB (1998)", got, p.Profile, want)
	}
	if p := decodeBytes(t, pngWith(t, img, "eXIf", exif("R98")), Limits{}); p.Profile != "" {
		t.Errorf("R98: profile %q, want none", p.Profile)
	}
}

func TestGreyProfile(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 1, 1))
	img.SetGray(0, 0, color.Gray{100})
	profile := iccOf("GRAY", iccTag{"desc", descTag("Dot gain")}, iccTag{"kTRC", curvTag(461)})
	f := decodeBytes(t, pngWith(t, img, "iCCP", iccp(profile)), Limits{}).Field
	want := math.Pow(100/255., 461/256.)
	for c := range 3 {
		if math.Abs(float64(f.RGB[c])-want) > sumTolerance {
			t.Errorf("channel %d is %.6f, want %.6f", c, f.RGB[c], want)
		}
	}
	_, err := Decode(bytes.NewReader(pngWith(t, noise(2, 2), "iCCP", iccp(profile))), "tan.png", Limits{})
	refused(t, err, ErrProfile, `tan.png: a colour photo with the grey profile "Dot gain"`, hintProfile)
}

// TestCurves checks every kind of curve against its formula in ICC.1:2022, 10.6
// and 10.18.
func TestCurves(t *testing.T) {
	const curveTolerance = 1e-4 // parameters rounded to 1/65536, samples to 1/65535
	for name, c := range map[string]struct {
		tag  []byte
		want func(float64) float64
	}{
		"curv 0":        {curvTag(), func(v float64) float64 { return v }},
		"curv 1":        {curvTag(0x0233), func(v float64) float64 { return math.Pow(v, 563./256) }},
		"curv 3":        {curvTag(0, 16384, 65535), func(v float64) float64 { return max(v*.5, .25+(v-.5)*1.5) }},
		"para 0":        {paraTag(0, 2.2), func(v float64) float64 { return math.Pow(v, 2.2) }},
		"para 1":        {paraTag(1, 2, 1.25, -.25), func(v float64) float64 { return math.Pow(max(1.25*v-.25, 0), 2) }},
		"para 2":        {paraTag(2, 2, .5, .25, .125), func(v float64) float64 { return math.Pow(.5*v+.25, 2) + .125 }},
		"para 3":        {srgbPara(), colour.SRGB().Decode},
		"para 4":        {paraTag(4, 2, .75, .125, .5, .25, .0625, .03125), func(v float64) float64 { return tail(v) }},
		"para 1, a < b": {paraTag(1, 2, .5, .5), func(v float64) float64 { return math.Pow(.5*v+.5, 2) }},
	} {
		decode := parseCurve(c.tag)
		if decode == nil {
			t.Errorf("%s: refused", name)
			continue
		}
		for i := range 101 {
			v := float64(i) / 100
			if got, want := decode(v), c.want(v); math.Abs(got-want) > curveTolerance {
				t.Errorf("%s: %.2f gives %.5f, want %.5f", name, v, got, want)
				break
			}
		}
	}
}

func tail(v float64) float64 {
	if v >= .25 {
		return math.Pow(.75*v+.125, 2) + .0625
	}
	return .5*v + .03125
}

func TestUnusableProfiles(t *testing.T) {
	good := spaceTags(colour.DisplayP3(), descTag("Phone"), srgbPara())
	without := func(name string) []iccTag {
		return slices.DeleteFunc(slices.Clone(good), func(tag iccTag) bool { return tag.name == name })
	}
	with := func(name string, body []byte) []iccTag { return append(without(name), iccTag{name, body}) }
	edited := func(at int, v ...byte) []byte {
		b := iccOf("RGB ", good...)
		copy(b[at:], v)
		return b
	}
	huge := []byte{0xff, 0xff, 0xff, 0xff}
	hugeCurve := append([]byte("curv\x00\x00\x00\x00"), huge...)
	size := len(iccOf("RGB ", good...))
	for name, c := range map[string]struct {
		icc  []byte
		text string
	}{
		"CMYK":          {iccOf("CMYK", good...), `colour profile "Phone" is for CMYK, not for RGB or grey`},
		"printer":       {edited(12, []byte("prtr")...), `colour profile "Phone" is of the class "prtr", not a display's or a camera's`},
		"Lab":           {edited(20, []byte("Lab ")...), `colour profile "Phone" is built on Lab, not on XYZ`},
		"table":         {iccOf("RGB ", with("A2B0", []byte("mAB \x00\x00\x00\x00"))...), `colour profile "Phone" is built from a table of colours, not from three primaries and curves`},
		"no primary":    {iccOf("RGB ", without("gXYZ")...), `colour profile "Phone" is damaged: it has no usable green primary or curve`},
		"no curve":      {iccOf("RGB ", without("bTRC")...), `colour profile "Phone" is damaged: it has no usable blue primary or curve`},
		"huge curve":    {iccOf("RGB ", with("rTRC", hugeCurve)...), `colour profile "Phone" is damaged: it has no usable red primary or curve`},
		"falling curve": {iccOf("RGB ", with("rTRC", curvTag(65535, 0))...), `colour profile "Phone" is damaged: it has no usable red primary or curve`},
		"pole":          {iccOf("RGB ", with("rTRC", paraTag(0, -1))...), `colour profile "Phone" is damaged: it has no usable red primary or curve`},
		"no grey curve": {iccOf("GRAY", good...), `colour profile "Phone" is damaged: it has no usable grey curve`},
		"off white":     {iccOf("RGB ", with("rXYZ", append([]byte("XYZ \x00\x00\x00\x00"), s15(.6, .3, .1)...))...), `colour profile "Phone" is damaged: its primaries add up to XYZ 1.0491 1.0588 0.9260, not to the white 0.9642 1 0.8249`},
		"huge tags":     {edited(128, huge...), fmt.Sprintf("damaged colour profile: it says it has 4294967295 tags in %d bytes", size)},
		"huge size":     {edited(0, huge...), fmt.Sprintf("damaged colour profile: %d of its 4294967295 bytes are there", size)},
		"huge tag":      {edited(132+8, huge...), fmt.Sprintf(`damaged colour profile: its tag "desc" ends at byte %d of %d`, 132+12*7+1<<32-1, size)},
		"no signature":  {edited(36, []byte("ABCD")...), fmt.Sprintf("damaged colour profile: %d bytes that are no ICC profile", size)},
		"short":         {[]byte("acsp"), "damaged colour profile: 4 bytes that are no ICC profile"},
	} {
		t.Run(name, func(t *testing.T) {
			data := withProfile(read(t, "grey.jpg"), c.icc, 1)
			_, err := Decode(bytes.NewReader(data), "tan.jpg", Limits{})
			refused(t, err, ErrProfile, "tan.jpg: "+c.text, hintProfile)
		})
	}
}

func TestProfileNames(t *testing.T) {
	for want, tag := range map[string][]byte{
		"Display P3": mlucTag("Display P3"), "Tan": descTag("Tan"), "red": descTag("\x1b\u202ered\n"),
		"unnamed": append([]byte("mluc\x00\x00\x00\x00"), bytes.Repeat([]byte{0xff}, 40)...),
	} {
		if got := description(tag); got != want {
			t.Errorf("name %q, want %q", got, want)
		}
	}
}

// tiffWithProfile appends a directory with the profile's tag to a TIFF.
func tiffWithProfile(t *testing.T, img image.Image, icc []byte) []byte {
	t.Helper()
	data := tiffOf(t, img)
	le := binary.LittleEndian
	from := le.Uint32(data[4:])
	count := le.Uint16(data[from:])
	entries := slices.Clone(data[from+2 : from+2+12*uint32(count)])
	at := uint32(len(data) + len(data)&1)
	data = append(data, make([]byte, at-uint32(len(data)))...)
	data = append(data, icc...)
	le.PutUint32(data[4:], uint32(len(data)))
	data = append(le.AppendUint16(data, count+1), entries...)
	data = le.AppendUint16(data, 34675)
	data = le.AppendUint16(data, 7)
	data = le.AppendUint32(data, uint32(len(icc)))
	data = le.AppendUint32(data, at)
	return le.AppendUint32(data, 0)
}
