package picture

import (
	"math"
	"strings"
	"unicode"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// press sets type in the Go fonts, at sizes in units of 1/1600 of the photo's
// long side.
type press struct {
	unit   float64 // pixels
	fonts  [2]*sfnt.Font
	glyphs map[glyphKey]glyph
	buf    sfnt.Buffer
}

type typeface struct {
	bold bool
	size float64 // units
}

func newPress(unit float64) *press {
	p := &press{unit: unit, glyphs: map[glyphKey]glyph{}}
	for i, data := range [][]byte{goregular.TTF, gobold.TTF} {
		font, err := sfnt.Parse(data)
		if err != nil {
			panic(err) // the fonts are part of the program
		}
		p.fonts[i] = font
	}
	return p
}

func (p *press) font(t typeface) *sfnt.Font {
	if t.bold {
		return p.fonts[1]
	}
	return p.fonts[0]
}

// clean returns s in letters that the fonts have: composed accents, no control
// characters, the nearest sign or a question mark for what is missing.
func (p *press) clean(s string) string {
	var b strings.Builder
	for _, r := range norm.NFC.String(s) {
		switch i, err := p.fonts[0].GlyphIndex(&p.buf, r); {
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
		case err == nil && i != 0:
			b.WriteRune(r)
		default:
			b.WriteByte('?')
		}
	}
	return strings.TrimSpace(b.String())
}

// width returns how many pixels s takes.
func (p *press) width(t typeface, s string) int {
	end := p.set(t, s, point{}, nil)
	return int(math.Ceil(end))
}

// leading returns the distance from line to line, in pixels.
func (p *press) leading(t typeface) int { return int(1.28*t.size*p.unit + .5) }

// wrap breaks s into lines of at most most pixels, between words where there are
// any; a word that is too long for a line is cut, with an ellipsis.
func (p *press) wrap(t typeface, s string, most int) []string {
	var lines []string
	for _, word := range strings.Fields(p.clean(s)) {
		if n := len(lines); n > 0 {
			if longer := lines[n-1] + " " + word; p.width(t, longer) <= most {
				lines[n-1] = longer
				continue
			}
		}
		lines = append(lines, p.cut(t, word, most))
	}
	return lines
}

// cut returns s, or as much of it as fits in most pixels with an ellipsis.
func (p *press) cut(t typeface, s string, most int) string {
	if p.width(t, s) <= most {
		return s
	}
	runes := []rune(s)
	for len(runes) > 0 && p.width(t, string(runes)+"…") > most {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

// text sets s with its left end at x and its line of the given leading from y.
func (c *canvas) text(t typeface, s string, x, y int, with ink) {
	var shapes []polygon
	// The Go fonts' capitals reach 0.73 of the size above the baseline; descenders
	// are fewer and shorter, so capitals in the middle look right.
	const capital = .73
	base := float64(y) + (float64(c.leading(t))+capital*t.size*c.unit)/2
	c.set(t, s, point{float64(x), math.Round(base)}, &shapes)
	c.fill(shapes, with, c.img.Bounds())
}
