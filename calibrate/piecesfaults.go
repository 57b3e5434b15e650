package calibrate

import (
	"fmt"
	"image"
	"math"

	"evenhide/colour/order"
)

// When a piece is better photographed again.
const (
	mostEdge      = 0.005 // of the photo's longer side; a sharp edge is half as wide as that, or less
	mostStep      = 0.06  // log light by which the sheet on one side of a piece is off the sheet on the other
	mostTintStep  = 0.06
	mostBeyond    = 0.03 // share of its edge that may lie over the sheet's edge, for the coarseness of nodes
	mostDimRound  = 0.08 // share of the sheet round a piece that lies in a wide shadow
	leastQuadrant = 12   // nodes of sheet that say something of a side
)

// faults says what is wrong with a piece's place or light.
func (s *Sheet) faults(b *blob, p Piece) (out []string) {
	n := s.n
	if frame := n.f.Bounds().Inset(1); !p.Box.In(frame) {
		out = append(out, "half out of the photo: it touches the photo's edge")
	}
	r := b.round
	if float64(r.beyond) > mostBeyond*float64(r.edge) {
		out = append(out, "it reaches over the edge of the sheet")
	}
	if r.card > 0 {
		out = append(out, "it touches the card")
	}
	if edge := p.Edge / float64(max(n.f.W, n.f.H)); edge > mostEdge {
		out = append(out, fmt.Sprintf("blurred: its edge is %.0f pixels wide", p.Edge*float64(n.f.Cell)))
	}
	step, tint := r.steps()
	switch {
	case float64(r.dim) > mostDimRound*float64(r.sheet+r.dim):
		out = append(out, "a shadow with an edge lies across it or beside it")
	case r.sidesSeen() < len(r.sides) && s.shade() > mostShade:
		out = append(out, "a shadow lies on the sheet, and one side of it shows too little bare sheet to tell whether the shadow falls on it")
	case step > mostStep:
		out = append(out, fmt.Sprintf("the light on its two sides differs by %.0f %% from what the sheet says", 100*math.Expm1(step)))
	}
	if tint > mostTintStep {
		out = append(out, "mixed light: the light on its two sides differs in colour")
	}
	return out
}

// surroundingsOf is what lies round a piece.
type surroundingsOf struct {
	edge, sheet, dim, card, beyond int
	sides                          [4]bareSide // right, below, left, above
}

// round looks at the nodes close round a blob.
func (s *Sheet) round(b *blob) *surroundingsOf {
	const reach = 8 // nodes: past most of a piece's own shadow
	n := s.n
	r := &surroundingsOf{}
	near := b.distances(reach)
	box := b.box.Inset(blobBorder - reach - 1)
	middle := Point{float64(b.box.Min.X+b.box.Max.X) / 2, float64(b.box.Min.Y+b.box.Max.Y) / 2}
	half := Point{float64(b.box.Dx()), float64(b.box.Dy())}
	for y := max(box.Min.Y, 0); y < min(box.Max.Y, n.h); y++ {
		for x := max(box.Min.X, 0); x < min(box.Max.X, n.w); x++ {
			d := near[(y-box.Min.Y)*box.Dx()+x-box.Min.X]
			if d == 0 || d > reach {
				continue
			}
			i := y*n.w + x
			if d == 1 {
				r.edge++
			}
			switch {
			case s.card[i]:
				if d == 1 {
					r.card++
				}
			case !s.hull[i]:
				if d == 1 {
					r.beyond++
				}
			case d < 3:
			case s.dim[i]:
				r.dim++
			case s.nearly(i):
				r.sheet++
				r.sides[quadrant((float64(x)-middle.X)/half.X, (float64(y)-middle.Y)/half.Y)].add(s.off[i])
			}
		}
	}
	return r
}

// nearly reports whether a node may be bare sheet in another light.
func (s *Sheet) nearly(i int) bool {
	const most = .25 // log light
	l, t := levelTint(s.off[i])
	return l < most && l > -most && t < most
}

func quadrant(x, y float64) int {
	switch {
	case math.Abs(x) >= math.Abs(y) && x > 0:
		return 0
	case math.Abs(x) >= math.Abs(y):
		return 2
	case y > 0:
		return 1
	}
	return 3
}

func (r *surroundingsOf) sidesSeen() (count int) {
	for _, side := range r.sides {
		if side.seen() {
			count++
		}
	}
	return count
}

// steps returns by how much the sides differ in level and in tint, in log light.
func (r *surroundingsOf) steps() (level, tint float64) {
	spread := func(of func(bareSide) float64) float64 {
		least, most := math.Inf(1), math.Inf(-1)
		for _, side := range r.sides {
			if side.seen() {
				v := of(side)
				least, most = min(least, v), max(most, v)
			}
		}
		return max(most-least, 0)
	}
	level = spread(func(s bareSide) float64 { return s.level() })
	for k := range 2 {
		tint = max(tint, spread(func(s bareSide) float64 { return order.Quantile(s.tints[k], .5) }))
	}
	return level, tint
}

// distances returns for each node of the blob's box, with reach and one more round
// the nodes in it, how many steps it is away from the blob: 0 in it, and reach+1
// for all further ones.
func (b *blob) distances(reach int) []uint8 {
	box := b.box.Inset(blobBorder - reach - 1)
	w, h := box.Dx(), box.Dy()
	d := make([]uint8, w*h)
	for i := range d {
		d[i] = uint8(reach + 1)
	}
	shift := b.box.Min.Sub(box.Min)
	for i, in := range b.in {
		if p := image.Pt(i%b.box.Dx(), i/b.box.Dx()).Add(shift); in {
			d[p.Y*w+p.X] = 0
		}
	}
	for i := range d { // rows run on into each other only through the far border
		if i%w > 0 {
			d[i] = min(d[i], d[i-1]+1)
		}
		if i >= w {
			d[i] = min(d[i], d[i-w]+1)
		}
	}
	for i := len(d) - 1; i >= 0; i-- {
		if i%w < w-1 {
			d[i] = min(d[i], d[i+1]+1)
		}
		if i+w < len(d) {
			d[i] = min(d[i], d[i+w]+1)
		}
	}
	return d
}
