package card

import (
	"fmt"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
)

// typefaces are the two weights of the card's type.
type typefaces struct{ regular, bold *opentype.Font }

func newTypefaces() (typefaces, error) {
	regular, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return typefaces{}, fmt.Errorf("card's type: %w", err)
	}
	bold, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return typefaces{}, fmt.Errorf("card's type: %w", err)
	}
	return typefaces{regular, bold}, nil
}

// face returns the face that l is set in, with an em of emPixels.
func (t typefaces) face(l label, emPixels float64) (font.Face, error) {
	f := t.regular
	if l.bold {
		f = t.bold
	}
	return opentype.NewFace(f, &opentype.FaceOptions{Size: emPixels, DPI: 72, Hinting: font.HintingNone})
}

// width returns the printed length of l.
func (t typefaces) width(l label) (Millimetres, error) {
	const em = 256 // pixels: fine enough that rounding to 1/64 does not show
	f, err := t.face(l, em)
	if err != nil {
		return 0, err
	}
	return Millimetres(font.MeasureString(f, l.text)) / 64 / em * l.size, nil
}

// start returns where l begins when it is that wide.
func (l label) start(width Millimetres) Millimetres {
	switch l.align {
	case centred:
		return l.at.X - width/2
	case toRight:
		return l.at.X - width
	}
	return l.at.X
}
