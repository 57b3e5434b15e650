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
