package picture

import (
	"fmt"
	"image"
	"strings"
)

// strip is the band of paper under the photo: whose picture it is, what may
// ship, and what found no room on the photo.
type strip struct {
	width, height int
	title         string
	notes         []string // already broken into lines
	legend        []legend
	rows          int // of the legend
}

// legend is one sign used on the photo and what it means.
type legend struct {
	meaning string
	draw    func(c *canvas, r image.Rectangle)
}

func (c *canvas) hatchSign(r image.Rectangle) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			c.hatchAt(image.Pt(x, y))
		}
	}
}

func (c *canvas) patchSign(r image.Rectangle) {
	c.thinly(c.corners(point{float64(r.Min.X), float64(r.Min.Y)}, point{float64(r.Max.X), float64(r.Max.Y)}), r)
}

const (
	stripSide = 28.0 // units from the strip's side to its type
	titleSize = 36.0
	noteSize  = 30.0
	mostNotes = 100 // lines: a picture of any number of marks stays one that opens

	signWide, signGap, legendGap = 56.0, 14.0, 44.0 // of the legend's parts
)

func (p *press) strip(s Subject, plates []plate, width int) strip {
	st := strip{width: width}
	column := width - 2*p.px(stripSide)
	title, note := typeface{true, titleSize}, typeface{size: noteSize}
	st.title = p.cut(title, p.clean(s.Title), column-p.width(title, maker)-p.px(stripSide))
	for _, n := range s.Notes {
		st.notes = append(st.notes, p.wrap(note, n, column)...)
	}
	for _, pl := range plates {
		if said := pl.unsaid(); said != "" {
			st.notes = append(st.notes, p.wrap(note, said, column)...)
		}
	}
	if more := len(st.notes) - mostNotes; more > 0 {
		st.notes = append(st.notes[:mostNotes], fmt.Sprintf("… and %d lines more", more))
	}
	if len(s.LeftOut) > 0 {
		st.legend = append(st.legend, legend{"left out", (*canvas).hatchSign})
	}
	if len(s.Patches) > 0 {
		st.legend = append(st.legend, legend{"patch", (*canvas).patchSign})
	}
	wide := 0
	for _, l := range st.legend {
		wide += p.px(signWide+signGap+legendGap) + p.width(note, l.meaning)
	}
	if st.rows = min(len(st.legend), 1); wide-p.px(legendGap) > column {
		st.rows = len(st.legend)
	}
	st.height = p.leading(title) + (len(st.notes)+st.rows)*p.leading(note) + 2*p.px(18)
	return st
}

// maker stands at the right end of the strip.
const maker = "evenhide"

// unsaid returns what a judged mark has to say and its plate does not, as one
// paragraph; "" when nothing.
func (pl plate) unsaid() string {
	if !pl.mark.judged() || !pl.box.Empty() && (pl.form.full || len(pl.mark.Text) == 0) {
		return ""
	}
	head := strings.TrimSpace(pl.mark.Label + " " + string(pl.mark.Verdict))
	return strings.Join(append([]string{head}, pl.mark.Text...), " – ")
}

func (st strip) draw(c *canvas, top int) {
	r := image.Rect(0, top, st.width, top+st.height)
	c.clear(r, inkOf(paper))
	c.clear(image.Rect(0, top, st.width, top+c.px(5)), inkOf(rule))
	title, note := typeface{true, titleSize}, typeface{size: noteSize}
	x, y := c.px(stripSide), top+c.px(18)
	c.text(title, st.title, x, y, dark)
	if w := c.width(title, maker); w <= st.width-2*x {
		c.text(title, maker, st.width-x-w, y, rule)
	}
	y += c.leading(title)
	for _, n := range st.notes {
		c.text(note, n, x, y, dark)
		y += c.leading(note)
	}
	for i, l := range st.legend {
		if i > 0 && st.rows > 1 {
			x, y = c.px(stripSide), y+c.leading(note)
		}
		sign := image.Rect(x, y+c.px(4), x+c.px(signWide), y+c.leading(note)-c.px(4))
		l.draw(c, sign)
		c.text(note, l.meaning, sign.Max.X+c.px(signGap), y, dark)
		x = sign.Max.X + c.px(signGap) + c.width(note, l.meaning) + c.px(legendGap)
	}
}
