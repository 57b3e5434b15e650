package picture

import (
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
}

// legend is one sign used on the photo and what it means.
type legend struct {
	sign string
	draw func(c *canvas, r image.Rectangle)
}

const (
	stripSide = 28.0 // units from the strip's side to its type
	titleSize = 36.0
	noteSize  = 30.0
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
	if len(s.LeftOut) > 0 {
		st.legend = append(st.legend, legend{"left out", func(c *canvas, r image.Rectangle) {
			for y := r.Min.Y; y < r.Max.Y; y++ {
				for x := r.Min.X; x < r.Max.X; x++ {
					c.hatchAt(image.Pt(x, y))
				}
			}
		}})
	}
	st.height = p.leading(title) + (len(st.notes)+min(len(st.legend), 1))*p.leading(note) + 2*p.px(18)
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
	return strings.Join(append([]string{head}, pl.mark.Text...), " · ")
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
	for _, l := range st.legend {
		sign := image.Rect(x, y+c.px(4), x+c.px(56), y+c.leading(note)-c.px(4))
		l.draw(c, sign)
		c.text(note, l.sign, sign.Max.X+c.px(14), y, dark)
		x = sign.Max.X + c.px(14) + c.width(note, l.sign) + c.px(40)
	}
}
