package picture

import (
	"image"
	"math"
	"slices"

	"evenhide/colour/surface"
)

// lay returns the plates of the marks, each with its place where it found one.
func (p *press) lay(marks []Mark, v view) []plate {
	d := newDesk(marks, v, p)
	var plates []plate
	for _, f := range forms() {
		var good bool
		if plates, good = p.try(f, d); good {
			break
		}
	}
	return plates
}

// try places every mark's plate in form f, verdicts first, and reports whether
// all found a place that hides next to nothing else.
func (p *press) try(f form, d *desk) (plates []plate, good bool) {
	d.taken = nil
	good = true
	for _, judged := range []bool{true, false} {
		for i, m := range d.marks {
			if m.judged() != judged || !judged && (m.Kind != Window || m.Label == "") || d.outlines[i] == nil && !judged {
				continue
			}
			g := f
			if !judged {
				g = plainForm()
			}
			pl := p.newPlate(m, d.outlines[i], g, d.bounds.Dx())
			var hides float64
			pl.box, hides = d.place(pl.size, i)
			const mostHidden = .04 // of the plate: the corner of a neighbour
			if judged && (pl.box.Empty() || hides > mostHidden) {
				good = false
			}
			plates = append(plates, pl)
		}
	}
	return plates, good
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

// place returns the best free place for a plate of mark i, and the share of it
// that hides other marks; the empty rectangle when there is none. The place is
// then taken.
func (d *desk) place(size image.Point, i int) (best image.Rectangle, hides float64) {
	home := d.bounds
	if d.outlines[i] != nil {
		home = bounds(d.outlines[i]).Intersect(d.bounds)
	}
	long := float64(max(d.bounds.Dx(), d.bounds.Dy()))
	least := math.Inf(1)
	for n, at := range d.candidates(size, home) {
		box := image.Rectangle{Min: at, Max: at.Add(size)}
		if !box.In(d.bounds) || slices.ContainsFunc(d.taken, box.Inset(-d.gap).Overlaps) {
			continue
		}
		own := d.own[i].share(box)
		foreign := d.all.share(box) - own
		// A plate on its own piece is better than one on another, and one beside
		// its piece better than one far away. n keeps equal places in order.
		const foreignCost, ownCost, farCost, orderCost = 4, .5, 3, 1e-4
		far := max(away(d.outlines[i], box)-2*float64(d.gap), 0) / long
		cost := foreignCost*foreign + ownCost*own + farCost*far + orderCost*float64(n)
		if cost < least {
			best, hides, least = box, foreign, cost
		}
	}
	if !best.Empty() {
		d.taken = append(d.taken, best)
	}
	return best, hides
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

// cover counts what covers the ground, in squares of step pixels: first a count
// a square, after sum the sum of all squares above and to the left.
type cover struct {
	step, w, h int
	n          []int32 // (w+1)·(h+1), the first row and column 0
}

func newCover(size image.Point, step int) cover {
	w, h := (size.X+step-1)/step, (size.Y+step-1)/step
	return cover{step, w, h, make([]int32, (w+1)*(h+1))}
}

func (c cover) add(outline []point) {
	var corners []surface.Corner
	for _, p := range outline {
		corners = append(corners, surface.Corner{X: p.x / float64(c.step), Y: p.y / float64(c.step)})
	}
	r := surface.Polygon(corners, image.Rect(0, 0, c.w, c.h))
	for i, in := range r.In {
		if in {
			x, y := r.Rect.Min.X+i%r.Rect.Dx(), r.Rect.Min.Y+i/r.Rect.Dx()
			c.n[(y+1)*(c.w+1)+x+1]++
		}
	}
}

func (c cover) sum() {
	for y := 1; y <= c.h; y++ {
		for x := 1; x <= c.w; x++ {
			at := y*(c.w+1) + x
			c.n[at] += c.n[at-1] + c.n[at-c.w-1] - c.n[at-c.w-2]
		}
	}
}

// share returns how many times over box, in whole squares, is covered.
func (c cover) share(box image.Rectangle) float64 {
	x0, y0 := min(box.Min.X/c.step, c.w), min(box.Min.Y/c.step, c.h)
	x1, y1 := min((box.Max.X+c.step-1)/c.step, c.w), min((box.Max.Y+c.step-1)/c.step, c.h)
	at := func(x, y int) int32 { return c.n[y*(c.w+1)+x] }
	return float64(at(x1, y1)-at(x0, y1)-at(x1, y0)+at(x0, y0)) / float64(max((x1-x0)*(y1-y0), 1))
}

// away returns how far box lies from the outline: 0 where they touch.
func away(outline []point, box image.Rectangle) float64 {
	if outline == nil || touches(outline, box) {
		return 0
	}
	from, to := nearest(outline, box)
	return math.Hypot(from.x-to.x, from.y-to.y)
}

// touches reports whether box has a corner inside the outline or the outline
// runs through it.
func touches(outline []point, box image.Rectangle) bool {
	from, to := nearest(outline, box)
	return from == to || inside(outline, point{float64(box.Min.X), float64(box.Min.Y)})
}

// nearest returns the place in box and the place on the outline that are nearest
// each other, as far as the outline's corners and a few places between them tell.
func nearest(outline []point, box image.Rectangle) (in, on point) {
	least := math.Inf(1)
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		parts := 1 + int(math.Hypot(b.x-a.x, b.y-a.y)/8)
		for k := range parts {
			t := float64(k) / float64(parts)
			p := point{a.x + t*(b.x-a.x), a.y + t*(b.y-a.y)}
			q := point{min(max(p.x, float64(box.Min.X)), float64(box.Max.X)), min(max(p.y, float64(box.Min.Y)), float64(box.Max.Y))}
			if gap := math.Hypot(p.x-q.x, p.y-q.y); gap < least {
				in, on, least = q, p, gap
			}
		}
	}
	return in, on
}

// inside reports whether p lies inside the outline, by the even-odd rule.
func inside(outline []point, p point) bool {
	in := false
	last := outline[len(outline)-1]
	for _, c := range outline {
		if (c.y > p.y) != (last.y > p.y) && p.x < c.x+(p.y-c.y)/(last.y-c.y)*(last.x-c.x) {
			in = !in
		}
		last = c
	}
	return in
}
