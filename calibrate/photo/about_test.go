package photo

import (
	"testing"
	"time"
)

func TestTakenAndCamera(t *testing.T) {
	exif := tiffStructure([]tiffEntry{
		{0x010f, 2, []byte("Maker\x00")}, {0x0110, 2, []byte("Maker One\x00")}, {0x0112, 3, []byte{0, 1}},
		{0x8769, 4, []byte("sub0")}, // to the second directory
	}, []tiffEntry{{0x9003, 2, []byte("2024:03:05 14:07:09\x00")}, {0x9011, 2, []byte("+02:00\x00")}})
	for name, data := range map[string][]byte{
		"JPEG": withEXIF(read(t, "420.jpg"), exif), "PNG": pngWith(t, noise(4, 4), "eXIf", exif)} {
		p := decodeBytes(t, data, Limits{})
		if want := time.Date(2024, 3, 5, 12, 7, 9, 0, time.UTC); !p.Taken.Equal(want) || p.Camera != "Maker One" {
			t.Errorf("%s: taken %v with %q, want %v with Maker One", name, p.Taken, p.Camera, want)
		}
	}
}
