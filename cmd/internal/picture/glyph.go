package picture

import (
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// glyph is a letter's outlines about its origin on the baseline, in pixels.
type glyph struct {
	shapes  []polygon
	index   sfnt.GlyphIndex
	advance float64
}

type glyphKey struct {
	typeface
	letter rune
}

// set sets s from the point start on the baseline: it appends the outlines to
// shapes, unless that is nil, and returns where the line ends.
func (p *press) set(t typeface, s string, start point, shapes *[]polygon) float64 {
	x := start.x
	var last sfnt.GlyphIndex
	for i, letter := range s {
		g := p.glyph(t, letter)
		if i > 0 {
			kern, _ := p.font(t).Kern(&p.buf, last, g.index, p.em(t), font.HintingNone) // no pair: 0
			x += pixels(kern)
		}
		if shapes != nil {
			for _, shape := range g.shapes {
				moved := make(polygon, len(shape))
				for k, q := range shape {
					moved[k] = point{x + q.x, start.y + q.y}
				}
				*shapes = append(*shapes, moved)
			}
		}
		x, last = x+g.advance, g.index
	}
	return x
}

// em returns the size of t in pixels, as sfnt has it.
func (p *press) em(t typeface) fixed.Int26_6 { return fixed.Int26_6(t.size*p.unit*64 + .5) }

func pixels(v fixed.Int26_6) float64 { return float64(v) / 64 }

// glyph returns a letter's glyph, the font's empty box for one it lacks.
func (p *press) glyph(t typeface, letter rune) glyph {
	key := glyphKey{t, letter}
	if g, ok := p.glyphs[key]; ok {
		return g
	}
	f := p.font(t)
	index, _ := f.GlyphIndex(&p.buf, letter) // 0, the empty box, when it fails
	advance, _ := f.GlyphAdvance(&p.buf, index, p.em(t), font.HintingNone)
	segments, _ := f.LoadGlyph(&p.buf, index, p.em(t), nil)
	g := glyph{flatten(segments), index, pixels(advance)}
	p.glyphs[key] = g
	return g
}

// flatten turns the outlines of a TrueType glyph, lines and quadratic curves,
// into polygons.
func flatten(segments sfnt.Segments) []polygon {
	var out []polygon
	at := func(q fixed.Point26_6) point { return point{pixels(q.X), pixels(q.Y)} }
	for _, s := range segments {
		a := at(s.Args[0])
		if s.Op == sfnt.SegmentOpMoveTo || len(out) == 0 {
			out = append(out, polygon{a})
			continue
		}
		shape := &out[len(out)-1]
		if s.Op != sfnt.SegmentOpQuadTo {
			*shape = append(*shape, a)
			continue
		}
		const parts = 6 // under a tenth of a pixel from the curve at the largest type
		from, to := (*shape)[len(*shape)-1], at(s.Args[1])
		for i := 1; i <= parts; i++ {
			t := float64(i) / parts
			u := 1 - t
			*shape = append(*shape, point{
				u*u*from.x + 2*u*t*a.x + t*t*to.x,
				u*u*from.y + 2*u*t*a.y + t*t*to.y})
		}
	}
	return out
}
