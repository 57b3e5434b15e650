package picture

import (
	"image/color"

	"evenhide/colour/tolerance"
)

// ink is one of the picture's few colours: paper, dark ink, and one stain for
// each verdict, all dark enough to carry paper-coloured type at 4.5:1 or more.
type ink int

const (
	paper ink = iota
	dark
	ground
	rule
	green
	blue
	ochre
	oxblood
	slate
)

func inkOf(i ink) color.RGBA {
	return [...]color.RGBA{
		paper:   {0xfb, 0xf6, 0xea, 255},
		dark:    {0x2a, 0x24, 0x20, 255},
		ground:  {0xd9, 0xcf, 0xbf, 255},
		rule:    {0x8c, 0x7c, 0x69, 255},
		green:   {0x1d, 0x66, 0x50, 255},
		blue:    {0x2a, 0x54, 0x8c, 255},
		ochre:   {0x86, 0x59, 0x0b, 255},
		oxblood: {0x93, 0x2a, 0x2d, 255},
		slate:   {0x4c, 0x50, 0x57, 255},
	}[i]
}

// line is how an outline is drawn, so that verdicts differ without colour too.
type line int

const (
	solid line = iota
	dashed
	dotted
	double
	dashDot
	thin
)

// style returns the line and the stain of a verdict. An unknown verdict looks
// like one that could not be judged.
func style(v tolerance.Verdict) (line, ink) {
	switch v {
	case tolerance.Ship:
		return solid, green
	case tolerance.AnotherCoat:
		return dashed, blue
	case tolerance.LookAgain:
		return dotted, ochre
	case tolerance.Hold:
		return double, oxblood
	default:
		return dashDot, slate
	}
}

// dashes returns the lengths of strokes and gaps in turn, in units of 1/1600 of
// the long side; nil for a line without gaps. A stroke of 0 is a dot.
func (l line) dashes() []float64 {
	switch l {
	case dashed:
		return []float64{34, 18}
	case dotted:
		return []float64{0, 19}
	case dashDot:
		return []float64{34, 19, 0, 19}
	default:
		return nil
	}
}

// widths returns, in the same units, how wide the paper under a line is, the line
// itself, and the gap that makes two of it.
func (l line) widths() (halo, core, gap float64) {
	switch l {
	case thin:
		return 6, 2.2, 0
	case dotted, dashDot:
		return 15, 8, 0
	case double:
		return 19, 12.5, 4.5
	default:
		return 13, 6.5, 0
	}
}
