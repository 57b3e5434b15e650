package card

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
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

// fewer returns n, or a sixth of it in a short run.
func fewer(n uint64) uint64 {
	if testing.Short() {
		return n / 6
	}
	return n
}

func TestFindSeeded(t *testing.T) {
	p := newPrinted(t, testSerial)
	shots := fewer(seededShots)
	found, sum, worst := 0, 0.0, 0.0
	for seed := range shots {
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
	t.Logf("found %d of %d, corner error mean %.3f worst %.3f cells", found, shots, sum/float64(found), worst)
	if float64(found) < minFound*float64(shots) {
		t.Errorf("found %d of %d, wanted %.0f%%", found, shots, 100*minFound)
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
	shots := fewer(24)
	for seed := range shots {
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
	if uint64(n) < shots*3/4 {
		t.Errorf("found %d of %d from one code, wanted three in four", n, shots)
	}
}

// Photos whose longest side is searched at half size first.
func TestFindLarge(t *testing.T) {
	p := newPrinted(t, testSerial)
	for seed, perMM := range []float64{2, 4, 7} {
		s := seededShot(uint64(2000 + seed))
		s.w, s.h, s.perMM = 2000, 1500, perMM
		f, truth := s.take(1, p)
		got, err := Find(f)
		if err != nil {
			t.Errorf("%v cells a millimetre: %v", perMM, err)
			continue
		}
		if off := cornerError(got, truth); off > maxCorner || got.Codes != 2 {
			t.Errorf("%v cells a millimetre: corners %.2f cells off from %d codes", perMM, off, got.Codes)
		}
	}
}

// stepMargin is how far inside its border, in millimetres, a step is read: a
// place further off than that must never be returned.
const stepMargin = 1.0

func TestFindBent(t *testing.T) {
	p := newPrinted(t, testSerial)
	for _, c := range []struct {
		curl, barrel float64
		found        bool // else either is right
	}{
		{curl: 0.5, found: true}, {curl: 1, found: true}, {curl: 1.5}, {curl: 2}, {curl: 4}, {curl: -3},
		{barrel: 0.02, found: true}, {barrel: -0.05, found: true}, {barrel: 0.1}, {barrel: -0.2},
	} {
		s := straight()
		s.curl, s.barrel, s.dx, s.dy, s.turn, s.tilt = c.curl, c.barrel, 60, 50, 20, 10
		f, truth := s.take(1, p)
		got, err := Find(f)
		if err != nil {
			if c.found || !errors.Is(err, ErrGeometry) {
				t.Errorf("curl %v mm, barrel %v: %v", c.curl, c.barrel, err)
			}
			continue
		}
		off := worstStep(got, s, truth)
		t.Logf("curl %v mm, barrel %v: worst step %.2f mm off, residual %.2f px", c.curl, c.barrel, off, got.ResidualPx)
		if off > stepMargin {
			t.Errorf("curl %v mm, barrel %v: a step is %.2f mm off", c.curl, c.barrel, off)
		}
	}
}

// hiddenCorner is four times what the same photo gives with nothing hidden: the
// border of the leather is not to be taken for print.
const hiddenCorner = 0.03

// Leather larger than its window hides the window's angles.
func TestFindAnglesHidden(t *testing.T) {
	l := NewLayout()
	s := straight()
	s.covered = &Box{l.Swatch.X - 2, l.Swatch.Y - 2, l.Hide.X + l.Hide.W - l.Swatch.X + 4, l.Swatch.H + 4}
	f, truth := s.take(1, newPrinted(t, testSerial))
	got, err := Find(f)
	if err != nil {
		t.Fatal(err)
	}
	off := cornerError(got, truth)
	t.Logf("corners are %.3f cells off", off)
	if off > hiddenCorner {
		t.Errorf("corners are %.3f cells off, wanted %.2f", off, hiddenCorner)
	}
}

// Blur of half a module, standard deviation, which is not read as it is seen.
func TestFindBlurred(t *testing.T) {
	p := newPrinted(t, testSerial)
	n, shots := uint64(0), fewer(24)
	for seed := range shots {
		s := straight()
		s.turn, s.blur = float64(seed)*15, 0.5*float64(module)*s.perMM
		f, truth := s.take(seed, p)
		got, err := Find(f)
		if err != nil {
			t.Logf("turned %.0f: %v", s.turn, err)
			continue
		}
		if off := cornerError(got, truth); off > maxCorner {
			t.Errorf("turned %.0f: corners %.2f cells off", s.turn, off)
		}
		n++
	}
	if n < shots {
		t.Errorf("found %d of %d", n, shots)
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
