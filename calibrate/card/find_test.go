package card

import (
	"errors"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"evenhide/colour"
)

const testSerial = "4F7K2Q"

const (
	seededShots = 120
	minFound    = 0.99 // share of the seeded shots in which the card must be found
	// maxCorner is the mean error allowed for the card's corners, in cells. The
	// grey steps are read 1 mm inside their border, at least 1.8 cells here.
	maxCorner = 0.5
)

// seededShot draws one photo: any turn, up to 35° of tilt, a code at least 60
// cells wide, and blur, noise, slope and shade as they come.
func seededShot(seed uint64) shot {
	r := rand.New(rand.NewPCG(seed, 1))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	s := shot{w: 800, h: 700, turn: between(0, 360), tilt: between(0, 35), toward: between(0, 360),
		perMM: between(60/float64(codeSide)*1.12, 3), dx: between(-40, 40), dy: between(-30, 30),
		blur: between(0.3, 1), noise: between(0, 0.03), slope: between(-0.6, 0.6)}
	if r.IntN(2) == 0 {
		s.shade = between(0.35, 0.8)
	}
	if r.IntN(2) == 0 {
		s.ground = between(0.05, 0.6)
	}
	return s
}

func TestFindSeeded(t *testing.T) {
	p := newPrinted(t, testSerial)
	found, sum, worst := 0, 0.0, 0.0
	for seed := range uint64(seededShots) {
		s := seededShot(seed)
		f, truth := s.take(seed, p)
		got, err := Find(f)
		if err != nil {
			t.Logf("seed %d %+v: %v", seed, s, err)
			continue
		}
		off := cornerError(got, truth)
		if got.Serial != testSerial || off > 5 {
			t.Errorf("seed %d: misread: serial %s, corners %.1f off, %+v", seed, got.Serial, off, s)
		}
		found++
		sum += off
		worst = max(worst, off)
		if off > 0.3 || got.Codes < 2 {
			t.Logf("seed %d: off %.2f codes %d residual %.2f %+v", seed, off, got.Codes, got.ResidualPx, s)
		}
	}
	t.Logf("found %d of %d, corner error mean %.3f worst %.3f cells", found, seededShots, sum/float64(found), worst)
	if float64(found) < minFound*seededShots {
		t.Errorf("found %d of %d, wanted %.0f%%", found, seededShots, 100*minFound)
	}
	if sum > maxCorner*float64(found) {
		t.Errorf("corners are %.3f cells off, wanted %.2f", sum/float64(found), maxCorner)
	}
}

// straight is an easy photo, with the card in the middle.
func straight() shot { return shot{w: 900, h: 600, perMM: 3, blur: 0.6, noise: 0.01} }

func TestFindScale(t *testing.T) {
	// The same field said to have 3×3 photo pixels a cell: pixels grow threefold.
	f, truth := straight().take(1, newPrinted(t, testSerial))
	f.Cell = 3
	got, err := Find(f)
	if err != nil {
		t.Fatal(err)
	}
	if off := cornerError(got, enlarge(truth, 3)); off > 3*maxCorner {
		t.Errorf("corners are %.2f pixels off", off)
	}
	if px := got.PxPerMM(Point{cardW / 2, cardH / 2}); math.Abs(px-9) > 0.02 {
		t.Errorf("%.3f pixels a millimetre, wanted 9", px)
	}
	p := Point{12, 34}
	if back := got.Point(got.Pixel(p)); math.Hypot(float64(back.X-p.X), float64(back.Y-p.Y)) > 1e-6 {
		t.Errorf("%v came back as %v", p, back)
	}
}

// One end hidden: the place must be as good as before, or be refused.
func TestFindOneCode(t *testing.T) {
	p := newPrinted(t, testSerial)
	l := NewLayout()
	n, sum := 0, 0.0
	const shots = 20
	for seed := range uint64(shots) {
		s := seededShot(1000 + seed)
		s.covered = &Box{l.Codes[seed%2].X + 3, l.Codes[seed%2].Y + 6, 40, 20}
		f, truth := s.take(seed, p)
		got, err := Find(f)
		if errors.Is(err, ErrOneCode) || errors.Is(err, ErrGeometry) {
			t.Logf("seed %d: %v", seed, err)
			continue
		}
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		off := cornerError(got, truth)
		if off > 4*maxCorner || got.Codes != 1 {
			t.Errorf("seed %d: corners are %.2f cells off with %d codes, wanted %.1f with 1", seed, off, got.Codes, 4*maxCorner)
		}
		n++
		sum += off
	}
	t.Logf("found %d of %d from one code, corner error mean %.2f cells", n, shots, sum/float64(n))
	if n < shots*3/4 {
		t.Errorf("found %d of %d from one code, wanted three in four", n, shots)
	}
}

// Half of the card lies under leather: nothing may be made up.
func TestFindHalfHidden(t *testing.T) {
	s := straight()
	s.covered = &Box{60, -5, 150, 80}
	f, _ := s.take(1, newPrinted(t, testSerial))
	if got, err := Find(f); !errors.Is(err, ErrOneCode) && !errors.Is(err, ErrGeometry) {
		t.Errorf("got %+v, %v; wanted a refusal", got, err)
	}
}

func TestFindRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		codes []code
		want  error
	}{
		"none":          {nil, ErrNoCard},
		"two serials":   {[]code{{text: codeText{1, left, "4F7K2Q"}}, {text: codeText{1, right, "AAAAAA"}}}, ErrManyCards},
		"two left ends": {[]code{{text: codeText{1, left, "4F7K2Q"}}, {text: codeText{1, left, "4F7K2Q"}}}, ErrManyCards},
		"version 2":     {[]code{{text: codeText{version: 2}}}, ErrOtherVersion},
		"mirrored":      {[]code{{text: codeText{1, left, "4F7K2Q"}, mirrored: true}}, ErrGeometry},
	} {
		if err := onlyOne(c.codes); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, wanted kind %v", name, err, c.want)
		}
	}
}

// Whole photos that must be refused for what they show.
func TestFindRefusesPhotos(t *testing.T) {
	img, err := raster(testSerial, PNGDotsPerInch/mmPerInch)
	if err != nil {
		t.Fatal(err)
	}
	mirrored := image.NewGray(img.Rect)
	stepsHidden := image.NewGray(img.Rect)
	copy(stepsHidden.Pix, img.Pix)
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			mirrored.SetGray(img.Rect.Dx()-1-x, y, img.GrayAt(x, y))
		}
	}
	for i, s := range NewLayout().Steps { // every other step under a black strip
		if i%2 == 0 {
			paint(stepsHidden, fill{s.Box, 0}, PNGDotsPerInch/mmPerInch)
		}
	}
	for name, c := range map[string]struct {
		img  *image.Gray
		want error
	}{
		"mirror":       {mirrored, ErrGeometry},
		"steps hidden": {stepsHidden, ErrGeometry},
		"other text":   {twoSymbols(t, "HTTPS://A.EXAMPLE/1", "HTTPS://A.EXAMPLE/2"), ErrNoCard},
		"version 2":    {twoSymbols(t, "EVENHIDE 2 L 4F7K2Q", "EVENHIDE 2 R 4F7K2Q"), ErrOtherVersion},
		"two cards":    {twoSymbols(t, "EVENHIDE 1 L 4F7K2Q", "EVENHIDE 1 R 4F7K2A"), ErrManyCards},
		"wrong ends":   {twoSymbols(t, "EVENHIDE 1 R 4F7K2Q", "EVENHIDE 1 L 4F7K2Q"), ErrGeometry},
		"codes only":   {twoSymbols(t, "EVENHIDE 1 L 4F7K2Q", "EVENHIDE 1 R 4F7K2Q"), ErrGeometry},
	} {
		f, _ := straight().take(3, printedFrom(c.img))
		if got, err := Find(f); !errors.Is(err, c.want) {
			t.Errorf("%s: %+v, %v; wanted kind %v", name, got, err, c.want)
		}
	}
}

// twoSymbols is the card with nothing but two codes on it.
func twoSymbols(t *testing.T, texts ...string) *image.Gray {
	t.Helper()
	const perMM = PNGDotsPerInch / mmPerInch
	img := image.NewGray(image.Rect(0, 0, 2244, 732))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for i, text := range texts {
		s, err := newSymbol(text)
		if err != nil {
			t.Fatal(err)
		}
		var d drawing
		d.symbol(s, NewLayout().Codes[i])
		for _, f := range d.fills {
			paint(img, f, perMM)
		}
	}
	return img
}

func TestFindNoCard(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	fields := map[string]*colour.Field{}
	for _, size := range [][2]int{{0, 0}, {1, 1}, {1, 900}, {900, 1}, {39, 41}, {64, 64}, {700, 500}} {
		for name, at := range map[string]func(x, y int) float64{
			"black":   func(x, y int) float64 { return 0 },
			"white":   func(x, y int) float64 { return 1 },
			"noise":   func(x, y int) float64 { return r.Float64() },
			"bits":    func(x, y int) float64 { return float64(r.IntN(2)) },
			"stripes": func(x, y int) float64 { return float64(x / 5 % 2) },
			"squares": func(x, y int) float64 { return float64((x/9 + y/9) % 2) },
			"NaN":     func(x, y int) float64 { return math.NaN() },
			"ringed":  func(x, y int) float64 { return float64(max(abs(x%21-10), abs(y%21-10)) / 3 % 2) },
		} {
			f := colour.NewField(size[0], size[1], 2)
			for i := range size[0] * size[1] {
				v := float32(at(i%size[0], i/size[0]))
				f.RGB[3*i], f.RGB[3*i+1], f.RGB[3*i+2] = v, v, v
			}
			fields[fmt.Sprintf("%s %v", name, size)] = f
		}
	}
	for name, f := range fields {
		if got, err := Find(f); !errors.Is(err, ErrNoCard) {
			t.Errorf("%s: %+v, %v; wanted no card", name, got, err)
		}
	}
}

func abs(v int) int { return max(v, -v) }

// 12 megapixels in 2×2 cells, the card across half of the width.
func BenchmarkFind(b *testing.B) {
	f, _ := shot{w: 2000, h: 1500, turn: 7, tilt: 10, toward: 40, perMM: 5.3, blur: 0.8, noise: 0.01, slope: 0.3}.take(1, newPrinted(b, testSerial))
	f.Cell = 2
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Find(f); err != nil {
			b.Fatal(err)
		}
	}
}

// The worst that is likely: 12 megapixels of leather grain and no card.
func BenchmarkFindNoCard(b *testing.B) {
	f, _ := shot{w: 2000, h: 1500, perMM: 0.01, noise: 0.2, ground: 0.3}.take(1, newPrinted(b, testSerial))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Find(f); !errors.Is(err, ErrNoCard) {
			b.Fatal(err)
		}
	}
}
