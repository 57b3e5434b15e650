package picture

import (
	"image"
	"math"
	"strings"
)

// form is how much a plate says and how large.
type form struct {
	word, text float64 // sizes of type, in units
	column     float64 // the text's width, in sizes of its type
	full       bool    // the lines of text too, not the verdict's word alone
}

// forms returns what is tried in turn, until every plate finds a good place. The
// smallest type is 28 units; the verdict's word is larger, to be read when a
// phone shows the whole picture.
func forms() []form {
	return []form{{54, 40, wide, true}, {46, 34, wide, true}, {40, 28, wide, true}, {40, 28, narrow, true}, {46, 34, wide, false}, {40, 28, wide, false}}
}

const wide, narrow = 11.5, 9.6 // a line of figures takes 9.3

// plate is what is written beside one mark.
type plate struct {
	mark    Mark
	outline []point // in the picture
	form    form

	label, word string   // label is "" where it stands in names
	names       []string // the label's lines, where it is too long to stand beside the word
	lines       []string
	size        image.Point
	box         image.Rectangle // where it lies; empty when it found no room
}

// plainForm is that of a window's name, without a verdict.
func plainForm() form { return form{text: 28} }

// newPlate sets the type of m's plate, for at most most pixels across.
func (p *press) newPlate(m Mark, outline []point, f form, most int) plate {
	pl := plate{mark: m, outline: outline, form: f}
	pad := p.px(plateSide)
	text := typeface{size: f.text}
	if !m.judged() {
		pl.label = p.cut(text, p.clean(m.Label), most-2*pad)
		pl.size = image.Pt(p.width(text, pl.label)+2*pad, p.leading(text)+p.px(8))
		return pl
	}
	column := min(int(f.column*f.text*p.unit), most-2*pad)
	word := typeface{true, f.word}
	pl.word = p.cut(word, p.clean(string(m.Verdict)), most-2*pad)
	pl.label = p.clean(m.Label)
	beside := column * 2 / 3
	if f.column == narrow {
		beside = column / 4
	}
	if p.width(word, pl.label) > beside {
		pl.label, pl.names = "", p.name(f, pl.label, max(column, p.width(word, pl.word)))
	}
	across := p.chip(pl) + p.width(word, pl.word)
	if f.full {
		for _, t := range m.Text {
			pl.lines = append(pl.lines, p.wrap(text, t, max(column, across))...)
		}
	}
	for _, l := range pl.names {
		across = max(across, p.width(bold(f), l))
	}
	for _, l := range pl.lines {
		across = max(across, p.width(text, l))
	}
	high := p.header(pl)
	if n := len(pl.names) + len(pl.lines); n > 0 {
		high += n*p.leading(text) + p.px(14)
	}
	pl.size = image.Pt(across+2*pad, high)
	return pl
}

// bold is the type of a name among the lines of text.
func bold(f form) typeface { return typeface{true, f.text} }

// name breaks a label into a few lines.
func (p *press) name(f form, label string, most int) []string {
	const few = 4
	lines := p.wrap(bold(f), label, most)
	if len(lines) > few {
		lines[few-1] = p.cut(bold(f), strings.Join(lines[few-1:], " "), most)
		lines = lines[:few]
	}
	return lines
}

const (
	plateSide = 18.0 // units from a plate's side to its type
	frame     = 4.0  // of a plate in its stain, and about that in paper
)

// px returns units in whole pixels.
func (p *press) px(units float64) int { return int(math.Round(units * p.unit)) }

// chip returns the width of the label before the word, with the gap after it.
func (p *press) chip(pl plate) int {
	if pl.label == "" {
		return 0
	}
	t := typeface{true, pl.form.word}
	return max(p.width(t, pl.label)+p.px(26), p.leading(t)-p.px(4)) + p.px(14)
}

// header returns the height of the part with label, word and line.
func (p *press) header(pl plate) int { return p.leading(typeface{true, pl.form.word}) + p.px(30) }

// plate draws a plate that has its place: the word on the verdict's stain over
// the verdict's own line, and the text on paper under it.
func (c *canvas) plate(pl plate) {
	if pl.box.Empty() {
		return
	}
	clip, r, edge := pl.box, pl.box, c.px(frame/2)
	radius := 12 * c.unit
	pad := c.px(plateSide)
	if !pl.mark.judged() {
		c.fill([]polygon{rounded(r, radius)}, dark, clip)
		c.fill([]polygon{rounded(r.Inset(edge), radius)}, paper, clip)
		c.text(typeface{size: pl.form.text}, pl.label, r.Min.X+pad, r.Min.Y+c.px(4), dark)
		return
	}
	_, stain := style(pl.mark.Verdict)
	c.fill([]polygon{rounded(r, radius)}, paper, clip)
	r = r.Inset(edge)
	c.fill([]polygon{rounded(r, radius)}, stain, clip)
	word := typeface{true, pl.form.word}
	x, y := pl.box.Min.X+pad, pl.box.Min.Y+c.px(8)
	if pl.label != "" {
		chip := image.Rect(x, y+c.px(2), x+c.chip(pl)-c.px(14), y+c.leading(word)-c.px(2))
		c.fill([]polygon{rounded(chip, float64(chip.Dy())/2)}, paper, clip)
		c.text(word, pl.label, (chip.Min.X+chip.Max.X-c.width(word, pl.label))/2, y, stain)
		x += c.chip(pl)
	}
	c.text(word, pl.word, x, y, paper)
	c.rule(pl)
	if len(pl.names)+len(pl.lines) == 0 {
		return
	}
	body := r
	body.Min.Y = pl.box.Min.Y + c.header(pl)
	body = body.Inset(edge)
	c.fill([]polygon{rounded(body, 9*c.unit)}, paper, clip)
	text := typeface{size: pl.form.text}
	y = body.Min.Y + c.px(4)
	for _, l := range pl.names {
		c.text(bold(pl.form), l, pl.box.Min.X+pad, y, dark)
		y += c.leading(text)
	}
	for _, l := range pl.lines {
		c.text(text, l, pl.box.Min.X+pad, y, dark)
		y += c.leading(text)
	}
}

// rule draws the verdict's line, as the piece's outline has it, under its word.
func (c *canvas) rule(pl plate) {
	kind, stain := style(pl.mark.Verdict)
	y := float64(pl.box.Min.Y+c.header(pl)) - 13*c.unit
	side := plateSide * c.unit
	line := []point{{float64(pl.box.Min.X) + side, y}, {float64(pl.box.Max.X) - side, y}}
	pieces := c.cutUp(line, kind, 1)
	_, core, gap := kind.widths()
	c.strokes(pieces, core*c.unit, paper, pl.box)
	c.strokes(pieces, gap*c.unit, stain, pl.box)
}

// leader draws the line from a plate to its outline, where they do not touch.
func (c *canvas) leader(pl plate) {
	if pl.box.Empty() || pl.outline == nil || !pl.mark.judged() || touches(pl.outline, pl.box) {
		return
	}
	from, to := nearest(pl.outline, pl.box)
	_, stain := style(pl.mark.Verdict)
	all := c.img.Bounds()
	line := [][]point{{from, to}}
	c.strokes(line, 9*c.unit, paper, all)
	c.strokes(line, 5*c.unit, stain, all)
	c.fill([]polygon{disc(to, 12*c.unit)}, paper, all)
	c.fill([]polygon{disc(to, 9*c.unit)}, stain, all)
}

// rounded returns r with corners of the given radius.
func rounded(r image.Rectangle, radius float64) polygon {
	radius = min(radius, float64(r.Dx())/2, float64(r.Dy())/2)
	var out polygon
	for i, corner := range []point{{float64(r.Max.X), float64(r.Max.Y)}, {float64(r.Min.X), float64(r.Max.Y)},
		{float64(r.Min.X), float64(r.Min.Y)}, {float64(r.Max.X), float64(r.Min.Y)}} {
		inX, inY := [4]float64{-1, 1, 1, -1}[i], [4]float64{-1, -1, 1, 1}[i]
		const parts = 6
		for k := range parts + 1 {
			sin, cos := math.Sincos(math.Pi / 2 * (float64(i) + float64(k)/parts))
			out = append(out, point{corner.x + inX*radius + radius*cos, corner.y + inY*radius + radius*sin})
		}
	}
	return out
}
