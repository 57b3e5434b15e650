package surface

import (
	"errors"
	"fmt"
	"image"

	"evenhide/colour"
)

// errField is wrapped for a field or mask whose parts do not fit together.
var errField = errors.New("field and region do not fit")

// clippedMost is the share of clipped pixels, of 255, up to which a cell is
// kept: 5 %. One clipped pixel of 4×4 is already more, and its mean too low.
const clippedMost = 12

// view is the part of a region that lies in the field.
type view struct {
	f      *colour.Field
	rect   image.Rectangle // in the field
	in     []bool          // of the whole region, or nil
	stride int             // of in
	origin image.Point     // of in
}

func newView(f *colour.Field, r Region) (*view, error) {
	if f == nil || f.W < 0 || f.H < 0 || f.Cell < 1 {
		return nil, fmt.Errorf("%w: no field", errField)
	}
	if n := f.W * f.H; len(f.RGB) < 3*n || len(f.Clipped) < n || len(f.Grain) < n {
		return nil, fmt.Errorf("%w: field of %d×%d cells holds %d values", errField, f.W, f.H, len(f.RGB))
	}
	rect := r.Rect.Intersect(f.Bounds())
	if rect.Empty() {
		return nil, fmt.Errorf("%w: no cells in the field", ErrTooSmall)
	}
	if r.In != nil && len(r.In) != r.Rect.Dx()*r.Rect.Dy() {
		return nil, fmt.Errorf("%w: mask of %d cells for %d×%d", errField, len(r.In), r.Rect.Dx(), r.Rect.Dy())
	}
	return &view{f: f, rect: rect, in: r.In, stride: r.Rect.Dx(), origin: r.Rect.Min}, nil
}

// row returns the mask of row y from rect.Min.X on, or nil when all is in.
func (v *view) row(y int) []bool {
	if v.in == nil {
		return nil
	}
	at := (y-v.origin.Y)*v.stride + v.rect.Min.X - v.origin.X
	return v.in[at : at+v.rect.Dx()]
}

// cell is one cell of a view: its colour and luminance, and whether it is in the
// region and fit to be used.
type cell struct {
	r, g, b, y float32
	in, usable bool
}

// at returns the cell at column x, row y of the field, which must be in rect.
func (v *view) at(x, y int) cell {
	p := v.f.RGB[3*(y*v.f.W+x):]
	c := cell{r: p[0], g: p[1], b: p[2], in: true}
	if m := v.row(y); m != nil {
		c.in = m[x-v.rect.Min.X]
	}
	c.y = luminance(c.r, c.g, c.b)
	c.usable = c.in && v.f.Clipped[y*v.f.W+x] <= clippedMost && finite(c.y)
	return c
}

// finite reports whether y is a number that light can have: below 1e6 whites
// either way, which no photo reaches.
func finite(y float32) bool { return y < 1e6 && y > -1e6 }

// luminance is the second row of the working space's matrix, as constants for
// the loop over cells; a test holds it against colour.WorkingSpace.
func luminance(r, g, b float32) float32 { return 0.212639*r + 0.715169*g + 0.072192*b }

// bin sums the usable cells of a quarter of a tile.
type bin struct {
	in      int     // cells of the region
	n       int     // cells kept
	r, g, b float64 // sums of colour
	yy      float64 // sum of squared luminance about the grid's centre
	grain   float64 // sum of the variances within cells
}

// sum adds every cell of the region to its bin, in one pass.
func (g *grid) sum() {
	wide := len(g.xs) - 1
	for k := 0; k+1 < len(g.ys); k++ {
		for y := g.ys[k]; y < g.ys[k+1]; y++ {
			mask := g.v.row(y)
			for j := range wide {
				g.addRun(&g.bins[k*wide+j], mask, y, g.xs[j], g.xs[j+1])
			}
		}
	}
}

// addRun adds the cells x0 to x1 of row y to b. Within a run 24-bit sums are
// exact enough; across runs they are kept in full.
func (g *grid) addRun(b *bin, mask []bool, y, x0, x1 int) {
	f, lim := g.v.f, g.limits
	high, mid := lim.high, float32(lim.median)
	at := y*f.W + x0
	rgb := f.RGB[3*at : 3*(at+x1-x0)]
	clip, grain := f.Clipped[at:at+x1-x0], f.Grain[at:at+x1-x0]
	var in, n int
	var sr, sg, sb, syy, sv float32
	for i := range clip {
		if mask != nil && !mask[x0+i-g.v.rect.Min.X] {
			continue
		}
		in++
		r, gr, bl := rgb[3*i], rgb[3*i+1], rgb[3*i+2]
		y1 := luminance(r, gr, bl)
		if clip[i] > clippedMost || !finite(y1) {
			g.clipped++
			continue
		}
		if y1 > high && lim.lampLike(r, gr, bl) {
			g.seeds = append(g.seeds, image.Pt(x0+i, y))
			continue
		}
		n++
		sr, sg, sb = sr+r, sg+gr, sb+bl
		syy += (y1 - mid) * (y1 - mid)
		sv += grain[i]
	}
	b.in, b.n = b.in+in, b.n+n
	b.r, b.g, b.b = b.r+float64(sr), b.g+float64(sg), b.b+float64(sb)
	b.yy, b.grain = b.yy+float64(syy), b.grain+float64(sv)
}

// drop takes a cell that sum has added out of its bin again.
func (g *grid) drop(p image.Point, c cell) {
	q := g.binAt(p)
	d := float64(c.y - float32(g.limits.median))
	q.n--
	q.r, q.g, q.b = q.r-float64(c.r), q.g-float64(c.g), q.b-float64(c.b)
	q.yy -= d * d
	q.grain -= float64(g.v.f.Grain[p.Y*g.v.f.W+p.X])
}
