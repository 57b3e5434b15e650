package photo

import (
	"bytes"
	"image"
	"slices"
	"testing"

	"evenhide/colour"
)

// storedAt returns where the pixel at x, y of the upright picture of size up is
// stored, from the EXIF standard's words for each orientation.
func storedAt(x, y int, up image.Point, turn int) (int, int) {
	right, bottom := up.X-1-x, up.Y-1-y
	return [...]int{0, x, right, right, x, y, y, bottom, bottom}[turn],
		[...]int{0, y, y, bottom, bottom, x, right, right, x}[turn]
}

// stored returns the picture as a camera would store it for the orientation.
func stored(img *image.NRGBA, turn int) *image.NRGBA {
	up := img.Bounds().Size()
	size := up
	if turn >= 5 {
		size = image.Pt(up.Y, up.X)
	}
	out := image.NewNRGBA(image.Rectangle{Max: size})
	for y := range up.Y {
		for x := range up.X {
			sx, sy := storedAt(x, y, up, turn)
			out.SetNRGBA(sx, sy, img.NRGBAAt(x, y))
		}
	}
	return out
}

func TestEveryOrientationGivesTheSameField(t *testing.T) {
	for _, cell := range []int{1, 2, 3, 4, 7, 50} {
		img := noise(37, 23)
		var want *Photo
		for turn := 1; turn <= 8; turn++ {
			got := decodeBytes(t, pngWith(t, stored(img, turn), "eXIf", exifOrientation(uint16(turn))), Limits{MaxCells: cellsFor(37, 23, cell)})
			if turn == 1 {
				want = got
				checkField(t, got.Field, reference(img, 1, min(cell, 37)))
			}
			if got.Width != 37 || got.Height != 23 {
				t.Errorf("orientation %d: %d × %d, want 37 × 23", turn, got.Width, got.Height)
			}
			sameField(t, turn, got.Field, want.Field)
		}
	}
}

// TestOrientationOfJPEG uses blocks of flat colour as large as a coding unit, as
// turning those loses nothing.
func TestOrientationOfJPEG(t *testing.T) {
	const unit = 16
	blocks := noise(5, 3)
	img := image.NewNRGBA(image.Rect(0, 0, 5*unit, 3*unit))
	for y := range 3 * unit {
		for x := range 5 * unit {
			img.SetNRGBA(x, y, blocks.NRGBAAt(x/unit, y/unit))
		}
	}
	var want *Photo
	for turn := 1; turn <= 8; turn++ {
		got := decodeBytes(t, withEXIF(jpegOf(t, stored(img, turn)), exifOrientation(uint16(turn))), Limits{MaxCells: cellsFor(80, 48, 7)})
		if turn == 1 {
			want = got
		}
		sameField(t, turn, got.Field, want.Field)
	}
}

func sameField(t *testing.T, turn int, got, want *colour.Field) {
	t.Helper()
	if got.W != want.W || got.H != want.H || got.Cell != want.Cell || !slices.Equal(got.RGB, want.RGB) ||
		!slices.Equal(got.Clipped, want.Clipped) || !slices.Equal(got.Grain, want.Grain) {
		t.Errorf("orientation %d, cell %d: the Field differs from orientation 1", turn, want.Cell)
	}
}

func TestNoUsableOrientationIsUpright(t *testing.T) {
	img := noise(9, 5)
	want := decodeBytes(t, pngWith(t, img, "", nil), Limits{})
	for name, exif := range map[string][]byte{
		"0": exifOrientation(0), "9": exifOrientation(9), "65535": exifOrientation(65535),
		"none": tiffStructure(nil), "no bytes": {}, "noise": bytes.Repeat([]byte{0x5a}, 300),
		"cut short": exifOrientation(6)[:14],
	} {
		got := decodeBytes(t, pngWith(t, img, "eXIf", exif), Limits{})
		if !slices.Equal(got.Field.RGB, want.Field.RGB) {
			t.Errorf("orientation %s: not upright as stored", name)
		}
	}
}
