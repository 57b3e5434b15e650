package picture

import (
	"image"
	"math"

	"evenhide/colour/surface"
)

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

// under returns how many covered squares lie under box, and how many squares.
func (c cover) under(box image.Rectangle) (covered, squares float64) {
	x0, y0 := min(box.Min.X/c.step, c.w), min(box.Min.Y/c.step, c.h)
	x1, y1 := min((box.Max.X+c.step-1)/c.step, c.w), min((box.Max.Y+c.step-1)/c.step, c.h)
	at := func(x, y int) int32 { return c.n[y*(c.w+1)+x] }
	return float64(at(x1, y1) - at(x0, y1) - at(x1, y0) + at(x0, y0)), float64(max((x1-x0)*(y1-y0), 1))
}

// total returns how many squares are covered.
func (c cover) total() float64 { return float64(c.n[len(c.n)-1]) }

// away returns how far box lies from the outline: 0 where they touch.
func away(outline []point, box image.Rectangle) float64 {
	if outline == nil || touches(outline, box) {
		return 0
	}
	from, to := nearest(outline, box)
	return math.Hypot(from.x-to.x, from.y-to.y)
}

// between returns how far apart two rectangles lie: 0 where they overlap.
func between(a, b image.Rectangle) float64 {
	return math.Hypot(float64(max(a.Min.X-b.Max.X, b.Min.X-a.Max.X, 0)), float64(max(a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y, 0)))
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
