package card

import (
	"encoding/json"
	"math"

	"github.com/lucasb-eyer/go-colorful"

	"evenhide/colour"
)

// Millimetres is a length on the card.
type Millimetres float64

// Point is a place on the card, from its top left corner.
type Point struct{ X, Y Millimetres }

// Box is an upright rectangle on the card: its top left corner and its size.
type Box struct{ X, Y, W, H Millimetres }

// Inset returns b made smaller by margin on every side.
func (b Box) Inset(margin Millimetres) Box {
	return Box{b.X + margin, b.Y + margin, b.W - 2*margin, b.H - 2*margin}
}

// Corners returns the corners of b, clockwise from the top left.
func (b Box) Corners() [4]Point {
	return [4]Point{{b.X, b.Y}, {b.X + b.W, b.Y}, {b.X + b.W, b.Y + b.H}, {b.X, b.Y + b.H}}
}

// MarshalJSON returns b as [x, y, w, h].
func (b Box) MarshalJSON() ([]byte, error) { return json.Marshal([4]Millimetres{b.X, b.Y, b.W, b.H}) }

// Step is one grey of a row. Level counts the greys from paper white, 0; L is its nominal lightness, not a measured one: see
// stepFill. Fill is the device grey that is printed, 0 black to 255 bare paper.
type Step struct {
	Box   Box
	Level int
	L     float64
	Fill  uint8
}

// Layout is the card's table: everything that is drawn or looked for.
type Layout struct {
	Version      int
	W, H         Millimetres
	Codes        [2]Box // without the quiet zone: left, right
	Steps        []Step // row by row, each from the left
	Swatch, Hide Box    // the clear inside of each window
	Scale        Box    // the millimetre scale; its ticks stand on the bottom edge
}

const (
	layoutVersion = 1
	cardW, cardH  = 190, 62 // 190 fits across a portrait page of A4 (210) and Letter (216) inside the 10 mm that printers leave white
	// codeModules is the side of a version 1 symbol: the smallest, so its
	// modules are the largest that fit.
	codeModules = 21
	module      = Millimetres(1.6)
	codeSide    = codeModules * module
	quiet       = 4 * module // ISO/IEC 18004 asks for four modules

	stepCount         = 12
	stepSide          = Millimetres(8)
	stepsX            = Millimetres(47)
	upperRow, lowRow  = Millimetres(4), Millimetres(44)
	windowSide        = Millimetres(25)
	windowX, windowY  = Millimetres(48.6), Millimetres(15.5)
	bracket           = Millimetres(1.2) // width of the corner angles round a window
	bracketArm        = Millimetres(6)   // their length
	scaleX, scaleLong = Millimetres(45), Millimetres(100)

	paperL, blackL = 95.0, 20.0 // plain office paper and a laser printer's black: common practice, no source
)

// NewLayout returns the table of the current card.
func NewLayout() Layout {
	l := Layout{Version: layoutVersion, W: cardW, H: cardH,
		Swatch: Box{windowX, windowY, windowSide, windowSide},
		Hide:   Box{cardW - windowX - windowSide, windowY, windowSide, windowSide},
		Scale:  Box{scaleX, cardH - 3.6, scaleLong, 3.6}}
	codeY := (upperRow + lowRow + stepSide - codeSide) / 2
	l.Codes = [2]Box{{quiet, codeY, codeSide, codeSide}, {cardW - quiet - codeSide, codeY, codeSide, codeSide}}
	for row, y := range [2]Millimetres{upperRow, lowRow} {
		for i := range stepCount {
			nth := i
			if row == 1 {
				nth = stepCount - 1 - i
			}
			lightness := paperL + (blackL-paperL)*float64(nth)/(stepCount-1)
			box := Box{stepsX + stepSide*Millimetres(i), y, stepSide, stepSide}
			l.Steps = append(l.Steps, Step{Box: box, Level: nth, L: lightness, Fill: stepFill(lightness)})
		}
	}
	return l
}

// stepFill returns the device grey for a nominal lightness. It takes a printer
// to show device grey as the sRGB grey of that lightness, relative to its own
// paper, and to give up below its black. Real printers miss this by several L*,
// so L is a starting point until the printed card has been measured.
func stepFill(lightness float64) uint8 {
	if lightness <= blackL {
		return 0
	}
	y := colour.Luminance(100 * lightness / paperL)
	return uint8(math.Round(255 * min(colorful.LinearRgb(y, y, y).R, 1)))
}

// angles returns the black bars that mark the corners of a window, two a corner,
// just outside it.
func angles(window Box) []Box {
	var out []Box
	outer := window.Inset(-bracket)
	for _, c := range outer.Corners() {
		x, y := c.X, c.Y
		barX, barY := x, y
		if x > outer.X {
			x, barX = x-bracketArm, barX-bracket
		}
		if y > outer.Y {
			barY, y = barY-bracket, y-bracketArm
		}
		out = append(out, Box{x, barY, bracketArm, bracket}, Box{barX, y, bracket, bracketArm})
	}
	return out
}

// Geometry returns the table as JSON, in millimetres from the top left corner:
//
//	{"size_mm":[w,h],"codes":[[x,y,size],...],"steps":[{"box":[x,y,w,h],"L":0},...],
//	 "windows":{"swatch":[x,y,w,h],"hide":[x,y,w,h]}}
func (l Layout) Geometry() ([]byte, error) {
	type step struct {
		Box Box     `json:"box"`
		L   float64 `json:"L"`
	}
	var out struct {
		Size    [2]Millimetres   `json:"size_mm"`
		Codes   [][3]Millimetres `json:"codes"`
		Steps   []step           `json:"steps"`
		Windows struct {
			Swatch Box `json:"swatch"`
			Hide   Box `json:"hide"`
		} `json:"windows"`
	}
	out.Size = [2]Millimetres{l.W, l.H}
	for _, c := range l.Codes {
		out.Codes = append(out.Codes, [3]Millimetres{c.X, c.Y, c.W})
	}
	for _, s := range l.Steps {
		out.Steps = append(out.Steps, step{s.Box, s.L})
	}
	out.Windows.Swatch, out.Windows.Hide = l.Swatch, l.Hide
	return json.Marshal(out)
}
