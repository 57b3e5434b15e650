// Package cardprint puts the card into scenes.
package cardprint

import (
	"bytes"
	"image"
	"image/png"

	"evenhide/calibrate/card"
	"evenhide/calibrate/scene"
)

// New returns the card of a serial as an ideal printer prints it. The error is that of
// card.WritePNG, for a serial that no card has.
func New(serial string) (scene.Print, error) {
	const mmPerInch = 25.4
	var buf bytes.Buffer
	if err := card.WritePNG(&buf, serial); err != nil {
		return scene.Print{}, err
	}
	img, err := png.Decode(&buf)
	if err != nil {
		return scene.Print{}, err
	}
	window := func(b card.Box) scene.Window {
		return scene.Window{X: float64(b.X), Y: float64(b.Y), W: float64(b.W), H: float64(b.H)}
	}
	l := card.NewLayout()
	return scene.Print{Image: img.(*image.Gray), MMPerPixel: mmPerInch / card.PNGDotsPerInch,
		Swatch: window(l.Swatch), Hide: window(l.Hide)}, nil
}
