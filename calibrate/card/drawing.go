package card

import (
	"fmt"
	"strconv"
)

// fill is a box of one grey, 0 black to 255 bare paper.
type fill struct {
	box  Box
	grey uint8
}

// align says which part of a label stands at its point.
type align int

const (
	fromLeft align = iota
	centred
	toRight
)

// label is a line of print: at is on its base line, size is the type's em.
type label struct {
	at    Point
	size  Millimetres
	bold  bool
	align align
	grey  uint8
	text  string
}

// drawing is the card as filled boxes and labels; every format is written from it.
type drawing struct {
	fills  []fill
	labels []label
}

const (
	hairline = Millimetres(0.15)
	ink      = 0   // black: everything the finder looks for, and headings
	soft     = 110 // grey of the small print's rules and of step 1's outline
)

// draw returns the card of layout l with the given serial. It is an ErrSerial
// refusal if the serial cannot be printed.
func (l Layout) draw(serial string) (drawing, error) {
	var d drawing
	if err := CheckSerial(serial); err != nil {
		return d, err
	}
	for e, at := range l.Codes {
		s, err := newSymbol(codeText{l.Version, end(e), serial}.String())
		if err != nil {
			return d, err
		}
		d.symbol(s, at)
	}
	d.steps(l)
	for _, w := range []Box{l.Swatch, l.Hide} {
		for _, b := range angles(w) {
			d.fills = append(d.fills, fill{b, ink})
		}
		d.outline(w.Inset(-hairline), soft)
	}
	d.scale(l.Scale)
	d.words(l, serial)
	return d, nil
}

// symbol draws each run of dark modules as one box, so that no seam shows.
func (d *drawing) symbol(s symbol, at Box) {
	for y := range codeModules {
		for x := 0; x < codeModules; x++ {
			start := x
			for s.at(x, y) {
				x++
			}
			if x > start {
				d.fills = append(d.fills, fill{Box{at.X + module*Millimetres(start), at.Y + module*Millimetres(y),
					module * Millimetres(x-start), module}, ink})
			}
		}
	}
}

// outline draws a hairline just inside b.
func (d *drawing) outline(b Box, grey uint8) {
	for _, side := range []Box{
		{b.X, b.Y, b.W, hairline}, {b.X, b.Y + b.H - hairline, b.W, hairline},
		{b.X, b.Y, hairline, b.H}, {b.X + b.W - hairline, b.Y, hairline, b.H},
	} {
		d.fills = append(d.fills, fill{side, grey})
	}
}

// steps draws both rows with the number of each step, counted from the paper's
// white; step 1 is bare paper and gets an outline.
func (d *drawing) steps(l Layout) {
	for i, s := range l.Steps {
		number, base := i+1, s.Box.Y-0.9
		if i >= stepCount {
			number, base = 2*stepCount-i, s.Box.Y+s.Box.H+2.2
		}
		if s.Fill == 255 {
			d.outline(s.Box.Inset(-hairline), soft)
		} else {
			d.fills = append(d.fills, fill{s.Box, s.Fill})
		}
		d.labels = append(d.labels, label{Point{s.Box.X + s.Box.W/2, base}, 1.8, false, centred, ink, strconv.Itoa(number)})
	}
}

// scale draws the ticks of a millimetre scale that stand on the lower edge of b.
func (d *drawing) scale(b Box) {
	for mm := range int(b.W) + 1 {
		tall, wide := b.H*0.5, Millimetres(0.12)
		switch {
		case mm%10 == 0:
			tall, wide = b.H, 0.25
			d.labels = append(d.labels, label{Point{b.X + Millimetres(mm), b.Y - 0.5}, 1.9, false, centred, ink, strconv.Itoa(mm)})
		case mm%5 == 0:
			tall, wide = b.H*0.75, 0.18
		}
		d.fills = append(d.fills, fill{Box{b.X + Millimetres(mm) - wide/2, b.Y + b.H - tall, wide, tall}, ink})
	}
	d.labels = append(d.labels, label{Point{b.X + b.W + 2.4, b.Y - 0.5}, 1.9, false, fromLeft, ink, "mm"})
}

// words draws the name, the windows' names and the short instructions.
func (d *drawing) words(l Layout, serial string) {
	middle := l.W / 2
	west, east := l.Swatch.X+l.Swatch.W+2.2, l.Hide.X-2.2
	top := l.Swatch.Y
	add := func(x, y, size Millimetres, bold bool, a align, text string) {
		d.labels = append(d.labels, label{Point{x, y}, size, bold, a, ink, text})
	}
	add(middle, top+4.6, 6.4, true, centred, "evenhide")
	d.fills = append(d.fills, fill{Box{west, top + 7.1, east - west, hairline}, soft})
	add(west, top+10.6, 2.9, true, fromLeft, "◄ swatch")
	add(east, top+10.6, 2.9, true, toRight, "hide ►")
	add(west, top+13.2, 1.9, false, fromLeft, "the colour you want")
	add(east, top+13.2, 1.9, false, toRight, "bare, undyed")
	d.fills = append(d.fills, fill{Box{west, top + 15, east - west, hairline}, soft})
	for i, line := range []string{
		"Lay both in dry and flat, on a white sheet.",
		"Soft light from one side, no flash.",
		"Phone straight above; fill the frame.",
	} {
		add(middle, top+17.9+2.8*Millimetres(i), 2.0, false, centred, line)
	}
	base := l.H - 2
	add(l.Codes[0].X, base, 2.4, true, fromLeft, serial)
	add(l.Codes[0].X+12, base, 1.9, false, fromLeft, fmt.Sprintf("layout %d", l.Version))
	add(l.Codes[1].X+l.Codes[1].W, base, 1.9, false, toRight, "print at 100 %, check the scale")
}
