package picture

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"

	"evenhide/colour/surface"
)

// canvas is a picture being drawn.
type canvas struct {
	img *image.RGBA
	*press
}

func newCanvas(img *image.RGBA, p *press) *canvas { return &canvas{img, p} }

func (c *canvas) clear(r image.Rectangle, with color.RGBA) {
	draw.Draw(c.img, r, image.NewUniform(with), image.Point{}, draw.Src)
}

// fill fills the shapes, one over the other, within clip.
func (c *canvas) fill(shapes []polygon, with ink, clip image.Rectangle) {
	var box image.Rectangle
	for _, s := range shapes {
		box = box.Union(bounds(s).Inset(-1))
	}
	box = box.Intersect(clip).Intersect(c.img.Bounds())
	if box.Empty() {
		return
	}
	r := newRaster(box)
	for _, s := range shapes {
		r.add(s)
	}
	r.paint(c.img, inkOf(with))
}

// outline draws a mark's outline: the verdict's stain on a wider line of paper,
// which shows on light and dark leather alike.
func (c *canvas) outline(m Mark, v view) {
	points := v.outline(m.Outline)
	if points == nil {
		return
	}
	kind, stain, weight := thin, dark, 1.0
	if m.judged() {
		kind, stain = style(m.Verdict)
	}
	if m.Kind == Zone {
		weight = .75
	}
	halo, core, gap := kind.widths()
	lines := c.cutUp(closed(points), kind, weight)
	for _, l := range []struct {
		width float64
		ink
	}{{halo, paper}, {core, stain}, {gap, paper}} {
		c.strokes(lines, l.width*weight*c.unit, l.ink, v.ground)
	}
}

// cutUp returns the strokes of which a line of some kind consists.
func (c *canvas) cutUp(points []point, kind line, weight float64) [][]point {
	pattern := kind.dashes()
	if pattern == nil {
		return [][]point{points}
	}
	for i := range pattern {
		pattern[i] *= c.unit * weight
	}
	return dash(points, pattern)
}

// lightness writes a step's L* in its middle, where it fits.
func (c *canvas) lightness(m Mark, v view) {
	points := v.outline(m.Outline)
	if m.Kind != Step || points == nil {
		return
	}
	t, box := typeface{true, plainForm().text}, bounds(points)
	label, mid := c.clean(m.Label), box.Min.Add(box.Max).Div(2)
	wide, high := c.width(t, label), c.leading(t)
	if wide+c.px(12) > box.Dx() || high > box.Dy() || !mid.In(v.photo) {
		return
	}
	with := paper
	if at := c.img.RGBAAt(mid.X, mid.Y); at.G > 118 { // L* 50: ink and paper stand out alike
		with = dark
	}
	c.text(t, label, mid.X-wide/2, mid.Y-high/2, with)
}

func (c *canvas) strokes(lines [][]point, width float64, with ink, clip image.Rectangle) {
	if width <= 0 {
		return
	}
	var shapes []polygon
	for _, l := range lines {
		shapes = append(shapes, stroke(l, width)...)
	}
	c.fill(shapes, with, clip)
}

// ticks marks the corners of patches, thinly, so that the leather stays to be
// seen: those that lie in a piece, where there are pieces.
func (c *canvas) ticks(s Subject, v view) {
	var pieces [][]point
	for _, m := range s.Marks {
		if points := v.outline(m.Outline); m.judged() && points != nil {
			pieces = append(pieces, points)
		}
	}
	var lines [][]point
	for _, r := range s.Patches {
		if r.Empty() {
			continue
		}
		for _, tick := range c.corners(
			v.at(surface.Corner{X: float64(r.Min.X), Y: float64(r.Min.Y)}),
			v.at(surface.Corner{X: float64(r.Max.X), Y: float64(r.Max.Y)})) {
			in := func(piece []point) bool { return inside(piece, tick[1]) }
			if len(pieces) == 0 || slices.ContainsFunc(pieces, in) {
				lines = append(lines, tick)
			}
		}
	}
	c.thinly(lines, v.photo)
}

// corners returns the four ticks inside the rectangle from a to b.
func (c *canvas) corners(a, b point) [][]point {
	length, inset := min(7*c.unit, (b.x-a.x)/4, (b.y-a.y)/4), 2*c.unit
	var lines [][]point
	for _, dx := range []float64{1, -1} {
		for _, dy := range []float64{1, -1} {
			p := point{a.x + inset, a.y + inset}
			if dx < 0 {
				p.x = b.x - inset
			}
			if dy < 0 {
				p.y = b.y - inset
			}
			lines = append(lines, []point{{p.x + dx*length, p.y}, p, {p.x, p.y + dy*length}})
		}
	}
	return lines
}

// thinly draws the lines of ticks.
func (c *canvas) thinly(lines [][]point, clip image.Rectangle) {
	c.strokes(lines, 3.5*c.unit, dark, clip)
	c.strokes(lines, 1.8*c.unit, paper, clip)
}

// hatch draws slanting lines, light beside dark, over the regions.
func (c *canvas) hatch(regions []surface.Region, v view) {
	sx, sy := v.scale()
	for _, r := range regions {
		if r.In != nil && len(r.In) != r.Rect.Dx()*r.Rect.Dy() {
			continue
		}
		box := r.Rect.Intersect(image.Rectangle{Max: v.cells})
		x0, x1 := int(float64(box.Min.X)*sx), int(math.Ceil(float64(box.Max.X)*sx))
		y0, y1 := int(float64(box.Min.Y)*sy), int(math.Ceil(float64(box.Max.Y)*sy))
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				cell := image.Pt(int((float64(x)+.5)/sx), int((float64(y)+.5)/sy))
				if !cell.In(box) || r.In != nil && !r.In[(cell.Y-r.Rect.Min.Y)*r.Rect.Dx()+cell.X-r.Rect.Min.X] {
					continue
				}
				c.hatchAt(image.Pt(x, y).Add(v.photo.Min))
			}
		}
	}
}

// hatchAt draws one pixel of the hatching.
func (c *canvas) hatchAt(p image.Point) {
	if !p.In(c.img.Bounds()) {
		return
	}
	period := 14 * c.unit
	switch t := math.Mod(float64(p.X+p.Y), period) / period; {
	case t < .22:
		c.img.SetRGBA(p.X, p.Y, inkOf(paper))
	case t < .44:
		c.img.SetRGBA(p.X, p.Y, inkOf(dark))
	}
}
