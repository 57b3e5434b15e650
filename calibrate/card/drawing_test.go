package card

import (
	"bytes"
	"compress/zlib"
	"encoding/xml"
	"errors"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"evenhide/colour"
)

func TestWritersRefuseSerial(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"pdf": func(w io.Writer) error { return WritePDF(w, "OOOOOO", A4) },
		"png": func(w io.Writer) error { return WritePNG(w, "OOOOOO") },
		"svg": func(w io.Writer) error { return WriteSVG(w, "OOOOOO") },
	} {
		var buf bytes.Buffer
		if err := write(&buf); !errors.Is(err, ErrSerial) || buf.Len() > 0 {
			t.Errorf("%s: %v and %d bytes, wanted a refusal and none", name, err, buf.Len())
		}
	}
	if err := WritePDF(io.Discard, testSerial, "a5"); !errors.Is(err, ErrPaper) {
		t.Errorf("a5: %v, wanted a refusal", err)
	}
}

// The picture that is printed is found, edge to edge, with nothing around it.
func TestPNGIsFound(t *testing.T) {
	var buf bytes.Buffer
	if err := WritePNG(&buf, testSerial); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&buf)
	if err != nil {
		t.Fatal(err)
	}
	if size := img.Bounds().Size(); size != image.Pt(2244, 732) {
		t.Errorf("%v pixels, wanted 2244×732 for 190 mm × 62 mm", size)
	}
	grey := img.(*image.Gray)
	f := colour.NewField(grey.Rect.Dx(), grey.Rect.Dy(), 1)
	for i, g := range grey.Pix {
		v := float32(colour.SRGB().Decode(float64(g) / 255))
		f.RGB[3*i], f.RGB[3*i+1], f.RGB[3*i+2] = v, v, v
	}
	got, err := Find(f)
	if err != nil {
		t.Fatal(err)
	}
	const perMM = PNGDotsPerInch / mmPerInch
	if off := cornerError(got, colour.Diagonal(perMM, perMM, 1)); got.Serial != testSerial || off > maxCorner {
		t.Errorf("serial %s, corners %.2f pixels off", got.Serial, off)
	}
}

func TestSVGParses(t *testing.T) {
	var buf bytes.Buffer
	if err := WriteSVG(&buf, testSerial); err != nil {
		t.Fatal(err)
	}
	grey := regexp.MustCompile(`^#(..)(..)(..)$`)
	boxes := 0
	for dec := xml.NewDecoder(&buf); ; {
		token, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		el, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		for _, a := range el.Attr {
			if a.Name.Local == "d" {
				boxes += strings.Count(a.Value, "z")
			}
			if m := grey.FindStringSubmatch(a.Value); a.Name.Local == "fill" && m != nil && (m[1] != m[2] || m[2] != m[3]) {
				t.Errorf("%s is not a grey", a.Value)
			}
		}
	}
	d, err := NewLayout().draw(testSerial)
	if err != nil {
		t.Fatal(err)
	}
	if boxes != len(d.fills) {
		t.Errorf("%d boxes, wanted %d", boxes, len(d.fills))
	}
}

// Nothing that is printed may touch the card's edge except the scale, nor print
// over other print.
func TestLabelsFit(t *testing.T) {
	l := NewLayout()
	d, err := l.draw(testSerial)
	if err != nil {
		t.Fatal(err)
	}
	types, err := newTypefaces()
	if err != nil {
		t.Fatal(err)
	}
	const capHeight, descent = 0.72, 0.21 // of the em, Go Regular, by eye
	var placed []Box
	for _, lab := range d.labels {
		w, err := types.width(lab)
		if err != nil {
			t.Fatal(err)
		}
		b := Box{lab.start(w), lab.at.Y - capHeight*lab.size, w, (capHeight + descent) * lab.size}
		if b.X < 1 || b.Y < 0.5 || b.X+b.W > l.W-1 || b.Y+b.H > l.H-0.5 {
			t.Errorf("%q %v leaves the card", lab.text, b)
		}
		for name, other := range named(l) {
			if overlaps(b, other.Inset(0.1)) {
				t.Errorf("%q %v is over %s %v", lab.text, b, name, other)
			}
		}
		for i, other := range placed {
			if overlaps(b, other) {
				t.Errorf("%q is over %q", lab.text, d.labels[i].text)
			}
		}
		placed = append(placed, b)
	}
}

func overlaps(p, q Box) bool {
	return p.X+p.W > q.X && q.X+q.W > p.X && p.Y+p.H > q.Y && q.Y+q.H > p.Y
}

func pdfBytes(t *testing.T, paper Paper) []byte {
	t.Helper()
	var buf bytes.Buffer
	if err := WritePDF(&buf, testSerial, paper); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func TestPDFIsReproducible(t *testing.T) {
	if !bytes.Equal(pdfBytes(t, A4), pdfBytes(t, A4)) {
		t.Error("two cards of one serial differ")
	}
}

func TestPDFIsGreyOnly(t *testing.T) {
	data := pdfBytes(t, Letter)
	greys, coloured := regexp.MustCompile(`[\d.]+ [gG]\s`), regexp.MustCompile(`[\d.]+ (rg|RG|k|K|scn?|SCN?)\s`)
	pages := 0
	for _, m := range regexp.MustCompile(`(?s)stream\n(.*?)\nendstream`).FindAllSubmatch(data, -1) {
		r, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue
		}
		text, err := io.ReadAll(r)
		if err != nil || !bytes.Contains(text, []byte(" re f")) {
			continue
		}
		pages++
		if !greys.Match(text) {
			t.Error("a page sets no grey")
		}
		if c := coloured.Find(text); c != nil {
			t.Errorf("a page sets a colour: %q", c)
		}
	}
	if pages != 2 {
		t.Errorf("%d pages read, wanted 2", pages)
	}
	if bytes.Contains(data, []byte("/DeviceRGB")) || bytes.Contains(data, []byte("/DeviceCMYK")) {
		t.Error("the file names a colour space other than grey")
	}
}

// The page as a printer's software sees it: 10 mm of the scale are 118 dots.
func TestPDFScale(t *testing.T) {
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("pdftoppm is missing")
		}
		t.Skip("pdftoppm is not installed")
	}
	for paper, width := range map[Paper]float64{A4: 210, Letter: 215.9} {
		dir := t.TempDir()
		name := filepath.Join(dir, "card.pdf")
		if err := os.WriteFile(name, pdfBytes(t, paper), 0o600); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command("pdftoppm", "-r", "300", "-gray", "-png", "-f", "1", "-l", "1", "-singlefile", name,
			filepath.Join(dir, "page")).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		file, err := os.Open(filepath.Join(dir, "page.png"))
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(file)
		file.Close()
		if err != nil {
			t.Fatal(err)
		}
		l := NewLayout()
		const perMM = PNGDotsPerInch / mmPerInch
		y := int(float64(cardTop+l.H-3) * perMM) // through the ten-millimetre ticks, above the others
		at := (width-float64(l.W))/2 + float64(l.Scale.X)
		var ticks []float64
		for mm := 0; mm <= 100; mm += 10 {
			ticks = append(ticks, darkMiddle(img, y, (at+float64(mm))*perMM))
		}
		for i := 1; i < len(ticks); i++ {
			if d := ticks[i] - ticks[i-1]; math.Abs(d-10*perMM) > maxTick {
				t.Errorf("%s: 10 mm from %d are %.1f dots, wanted %.1f", paper, 10*(i-1), d, 10*perMM)
			}
		}
		if d := ticks[10] - ticks[0]; math.Abs(d-100*perMM) > maxTick {
			t.Errorf("%s: 100 mm are %.1f dots, wanted %.1f", paper, d, 100*perMM)
		}
	}
}

// maxTick is one dot: a renderer may move a thin line to whole dots.
const maxTick = 1.0

// darkMiddle returns the middle of the ink within a millimetre of x in row y.
func darkMiddle(img image.Image, y int, x float64) float64 {
	var weight, sum float64
	for i := int(x) - 6; i <= int(x)+6; i++ {
		v, _, _, _ := img.At(i, y).RGBA()
		ink := 1 - float64(v)/65535
		weight += ink
		sum += ink * (float64(i) + 0.5)
	}
	return sum / weight
}
