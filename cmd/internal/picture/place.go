package picture

import (
	"image"
	"math"
	"slices"
)

// lay returns the plates of the marks, each with its place where it found one:
// in the largest form in which no plate hides another piece, nor much of its own.
func (p *press) lay(marks []Mark, v view) []plate {
	// Shares of the piece that its own plate may hide: a corner; or so much that
	// the leather is still to be seen, rather than leave the figures to the strip.
	const corner, part = .08, .4
	d := newDesk(marks, v, p)
	var plates []plate
	for _, full := range []bool{true, false} {
		var tried []trial
		for _, f := range forms() {
			if f.full == full {
				tried = append(tried, p.try(f, d))
			}
		}
		for _, most := range []float64{corner, part} {
			for _, t := range tried {
				if t.hidden <= most {
					return t.plates
				}
				plates = t.plates
			}
		}
	}
	return plates
}

// trial is what one form came to: the plates, and the largest share of a piece
// that its own plate hides, infinite when a plate found no place or only one that
// hides something else.
type trial struct {
	plates []plate
	hidden float64
}

// try places every mark's plate in form f, verdicts first.
func (p *press) try(f form, d *desk) (t trial) {
	d.taken = nil
	for _, judged := range []bool{true, false} {
		for i, m := range d.marks {
			if m.judged() != judged || !judged && (m.Kind != Window || m.Label == "" || d.outlines[i] == nil) {
				continue
			}
			g := f
			if !judged {
				g = plainForm()
			}
			pl := p.newPlate(m, d.outlines[i], g, d.bounds.Dx())
			own, foreign := d.place(&pl, i)
			const mostForeign = .04 // of the plate: the corner of a neighbour
			if judged && (pl.box.Empty() || foreign > mostForeign) {
				own = math.Inf(1)
			}
			if judged {
				t.hidden = max(t.hidden, own)
			}
			t.plates = append(t.plates, pl)
		}
	}
	return t
}

// desk is the picture's ground with what lies on it, for finding places.
type desk struct {
	bounds   image.Rectangle // where plates may lie
	marks    []Mark
	outlines [][]point
	gap      int
	all      cover   // of every mark
	own      []cover // of each
	taken    []image.Rectangle
}

func newDesk(marks []Mark, v view, p *press) *desk {
	gap := p.px(14)
	d := &desk{bounds: v.ground.Inset(gap), marks: marks, gap: gap}
	step := max(p.px(8), 1)
	d.all = newCover(v.ground.Size(), step)
	for _, m := range marks {
		outline := v.outline(m.Outline)
		own := newCover(v.ground.Size(), step)
		own.add(outline)
		d.all.add(outline)
		own.sum()
		d.outlines, d.own = append(d.outlines, outline), append(d.own, own)
	}
	d.all.sum()
	return d
}

// place gives the plate of mark i the best free place, if there is any, and takes
// it. It returns the share of the mark that the plate hides, and the share of the
// plate that hides other marks.
func (d *desk) place(pl *plate, i int) (own, foreign float64) {
	home := d.bounds
	if d.outlines[i] != nil {
		home = bounds(d.outlines[i]).Intersect(d.bounds)
	}
	long := float64(max(d.bounds.Dx(), d.bounds.Dy()))
	least := math.Inf(1)
	for n, at := range d.candidates(pl.size, home) {
		box := image.Rectangle{Min: at, Max: at.Add(pl.size)}
		if !box.In(d.bounds) || slices.ContainsFunc(d.taken, box.Inset(-d.gap).Overlaps) {
			continue
		}
		onOwn, squares := d.own[i].under(box)
		onAll, _ := d.all.under(box)
		// A plate on its own piece is better than one on another, and one beside
		// its piece better than one far away. n keeps equal places in order.
		const foreignCost, ownCost, farCost, orderCost = 4, .5, 3, 1e-4
		cost := (foreignCost*(onAll-onOwn)+ownCost*onOwn)/squares + orderCost*float64(n)
		far := func(pixels float64) float64 { return farCost * max(pixels-2*float64(d.gap), 0) / long }
		if cost+far(between(home, box)) >= least { // spare the outline's many places
			continue
		}
		if cost += far(away(d.outlines[i], box)); cost < least {
			least, pl.box = cost, box
			own, foreign = onOwn/max(d.own[i].total(), 1), (onAll-onOwn)/squares
		}
	}
	if !pl.box.Empty() {
		d.taken = append(d.taken, pl.box)
	}
	return own, foreign
}

// candidates returns top left corners for a plate: right, left, below, above,
// inside, each at several stations, and then a net over all the ground.
func (d *desk) candidates(size image.Point, home image.Rectangle) []image.Point {
	var out []image.Point
	gap := d.gap + d.gap/2
	for _, t := range []float64{.5, .25, .75, 0, 1} {
		x := home.Min.X + int(t*float64(home.Dx()-size.X))
		y := home.Min.Y + int(t*float64(home.Dy()-size.Y))
		out = append(out,
			image.Pt(home.Max.X+gap, y), image.Pt(home.Min.X-gap-size.X, y),
			image.Pt(x, home.Max.Y+gap), image.Pt(x, home.Min.Y-gap-size.Y))
	}
	for _, t := range []float64{.9, .1, .5} {
		for _, s := range []float64{.5, .1, .9} {
			out = append(out, image.Pt(home.Min.X+int(s*float64(home.Dx()-size.X)), home.Min.Y+int(t*float64(home.Dy()-size.Y))))
		}
	}
	const net = 28
	for y := range net + 1 {
		for x := range net + 1 {
			out = append(out, d.bounds.Min.Add(image.Pt(
				(d.bounds.Dx()-size.X)*x/net, (d.bounds.Dy()-size.Y)*y/net)))
		}
	}
	return out
}
