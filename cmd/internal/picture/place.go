package picture

import (
	"image"
	"math"
	"slices"
)

// lay returns the plates of the marks, each with its place where it found one, and the
// view, with more ground where they wanted it: in the largest form in which no plate hides
// a piece; or else of its own a corner, or so much that the leather is still to be seen,
// rather than leave the figures to the strip.
func (p *press) lay(marks []Mark, v view) ([]plate, view) {
	const nothing, corner, part = 0, .08, .4 // shares of the piece
	own := newDesk(marks, v, p)
	with := own
	if slices.ContainsFunc(marks, func(m Mark) bool { return m.judged() && len(m.Text) > 0 }) {
		with = newDesk(marks, v.extended(), p)
	}
	for _, t := range []struct {
		*desk
		full bool
		most float64
	}{{own, true, nothing}, {with, true, nothing}, {own, true, corner}, {own, true, part}, {own, false, nothing}, {own, false, corner}, {own, false, part}} {
		for _, f := range forms() {
			if f.full != t.full {
				continue
			}
			if plates, all := p.try(f, t.desk, t.most, false); all {
				return plates, t.view.trimmed(v, plates, t.gap)
			}
		}
	}
	plates, _ := p.try(forms()[len(forms())-1], own, part, true)
	return plates, v
}

// try places every mark's plate in form f, verdicts first, where it hides at most that
// share of its own piece. It tells whether all verdicts found a place and hide nothing
// else, and unless it is to go on stops at the first that did not.
func (p *press) try(f form, d *desk, most float64, goOn bool) (plates []plate, all bool) {
	d.taken, all = nil, true
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
			foreign := d.place(&pl, i, most)
			const mostForeign = .04 // of the plate: the corner of a neighbour
			if judged && (pl.box.Empty() || foreign > mostForeign) {
				if all = false; !goOn {
					return nil, false
				}
			}
			plates = append(plates, pl)
		}
	}
	return plates, all
}

// desk is the picture's ground with what lies on it, for finding places.
type desk struct {
	view     view
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
	d := &desk{view: v, bounds: v.ground.Inset(gap), marks: marks, gap: gap}
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

// place gives the plate of mark i the best free place in which it hides at most that share
// of the mark, if there is any, and takes it. It returns the share of the plate that hides
// other marks, 1 where its leader runs over one.
func (d *desk) place(pl *plate, i int, most float64) (foreign float64) {
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
		if onOwn > most*d.own[i].total() {
			continue
		}
		onAll, _ := d.all.under(box)
		// A plate on its own piece is better than one on another, and one beside
		// its piece better than one far away. n keeps equal places in order.
		const foreignCost, ownCost, farCost, crossCost, orderCost = 4, .5, 3, .5, 1e-4
		cost := (foreignCost*(onAll-onOwn)+ownCost*onOwn)/squares + orderCost*float64(n)
		far := func(pixels float64) float64 { return farCost * max(pixels-2*float64(d.gap), 0) / long }
		if cost+far(between(home, box)) >= least { // spare the outline's many places
			continue
		}
		over := (onAll - onOwn) / squares
		if d.crosses(i, box) {
			over = 1
			cost += crossCost
		}
		if cost += far(away(d.outlines[i], box)); cost < least {
			least, pl.box = cost, box
			foreign = over
		}
	}
	if !pl.box.Empty() {
		d.taken = append(d.taken, pl.box)
	}
	return foreign
}

// crosses tells whether the leader from box to the mark runs over another mark; that of a
// zone always runs over its piece.
func (d *desk) crosses(i int, box image.Rectangle) bool {
	if d.outlines[i] == nil || d.marks[i].Kind == Zone || touches(d.outlines[i], box) {
		return false
	}
	from, to := nearest(d.outlines[i], box)
	long := math.Hypot(to.x-from.x, to.y-from.y)
	for at := 0.0; at < long; at += float64(d.all.step) {
		p := image.Pt(int(from.x+(to.x-from.x)*at/long), int(from.y+(to.y-from.y)*at/long))
		if !p.In(d.view.ground) { // where no mark is seen
			continue
		}
		dot := image.Rectangle{p, p.Add(image.Pt(1, 1))}
		all, _ := d.all.under(dot)
		if own, _ := d.own[i].under(dot); all > 0 && own == 0 {
			return true
		}
	}
	return false
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
