package calibrate

import (
	"image"
	"math"

	"evenhide/colour/order"
)

// blob is a piece as nodes: those in a box with a border of blobBorder nodes.
type blob struct {
	box    image.Rectangle // of nodes, border included; may reach out of the field
	in     []bool          // one a node of box, holes filled
	out    []bool          // left out: holes and fittings
	middle [3]float32      // median log light off the sheet
	count  int
	round  *surroundingsOf
}

const blobBorder = 3

// blobs returns the pieces of least nodes or more.
func (s *Sheet) blobs(least float64) []*blob {
	kinds := s.kinds()
	var out []*blob
	for _, nodes := range s.n.connected(func(i int) bool { return kinds[i] == object }) {
		if float64(len(nodes)) < least/2 {
			continue
		}
		if b := s.newBlob(nodes); b != nil && float64(b.count) >= least/2 && !s.beside(b, least) {
			out = append(out, b)
			for _, i := range nodes {
				kinds[i] = elsewhere
			}
		}
	}
	// What is left and hardly tinted may be bits of a pale grey piece.
	for i, k := range kinds {
		if l, t := levelTint(s.off[i]); k == object && t < bleed && l < -s.level {
			kinds[i] = shade
		}
	}
	for _, plain := range [2]kind{shade, glow} {
		for _, nodes := range s.n.connected(func(i int) bool { return kinds[i] == plain }) {
			if float64(len(nodes)) >= least && s.closed(nodes, kinds) {
				if b := s.newBlob(nodes); b != nil {
					out = append(out, b)
				}
			}
		}
	}
	return out
}

// connected returns the sets of nodes that are in and hang together, each in
// rising order.
func (n *nodes) connected(in func(i int) bool) [][]int {
	parent := make([]int32, n.w*n.h)
	for i := range parent {
		parent[i] = -1
		if !in(i) {
			continue
		}
		parent[i] = int32(i)
		if i%n.w > 0 && parent[i-1] >= 0 {
			unite(parent, int32(i), int32(i-1))
		}
		if i >= n.w && parent[i-n.w] >= 0 {
			unite(parent, int32(i), int32(i-n.w))
		}
	}
	label, count := numbered(parent)
	sizes := make([]int, count)
	for _, l := range label {
		if l >= 0 {
			sizes[l]++
		}
	}
	out := make([][]int, count)
	for l, size := range sizes {
		out[l] = make([]int, 0, size)
	}
	for i, l := range label {
		if l >= 0 {
			out[l] = append(out[l], i)
		}
	}
	return out
}

// numbered turns a forest of united nodes, -1 for none, into labels from 0 for sets
// that are more than crumbs, and returns how many there are.
func numbered(parent []int32) (label []int32, count int) {
	const crumbs = 12 // nodes: never a piece, nor a sheet
	sizes := make([]int32, len(parent))
	for i := range parent {
		if parent[i] >= 0 {
			parent[i] = root(parent, int32(i))
			sizes[parent[i]]++
		}
	}
	for i, r := range parent { // a root comes before its nodes; sizes become labels
		switch {
		case r < 0:
		case sizes[r] < 0:
			parent[i] = -sizes[r] - 2
		case int(r) == i && sizes[r] >= crumbs:
			sizes[r] = -int32(count) - 2
			parent[i] = int32(count)
			count++
		default:
			parent[i] = -1
		}
	}
	return parent, count
}

// newBlob makes a blob of connected nodes: less what is nearer to the sheet than to
// the rest of it, with its holes filled; nil when too thin for a piece.
func (s *Sheet) newBlob(nodes []int) *blob {
	n := s.n
	box := image.Rectangle{}
	for _, i := range nodes {
		box = box.Union(image.Rect(i%n.w, i/n.w, i%n.w+1, i/n.w+1))
	}
	b := &blob{box: box.Inset(-blobBorder), middle: s.median(nodes)}
	size := b.box.Dx() * b.box.Dy()
	b.in, b.out = make([]bool, size), make([]bool, size)
	for _, i := range nodes {
		off := s.off[i]
		if _, t := levelTint(off); t < bleed && b.share(off) < .3 {
			continue // the piece's own colour thrown on the sheet, or its shadow
		}
		b.in[b.at(i%n.w, i/n.w)] = true
	}
	b.fill()
	b.leaveOut(s)
	core := 0
	w := b.box.Dx()
	for i, in := range b.in {
		if !in {
			continue
		}
		b.count++
		if b.in[i-1] && b.in[i+1] && b.in[i-w] && b.in[i+w] && b.in[i-w-1] && b.in[i-w+1] && b.in[i+w-1] && b.in[i+w+1] {
			core++
		}
	}
	if float64(core) < leastCore*float64(b.count) || core == 0 {
		return nil
	}
	b.round = s.round(b)
	return b
}

// beside reports whether the blob is the bench beside a sheet that is not quite
// convex: most of its edge lies along the sheet's, or some, and it is small.
func (s *Sheet) beside(b *blob, least float64) bool {
	const most, small = .4, 4 // of its edge; times the least piece
	beyond := float64(b.round.beyond) / float64(max(b.round.edge, 1))
	return beyond > most || beyond > mostBeyond && float64(b.count) < small*least
}

// bleed is the most tint that light from a piece gives the sheet beside it.
const bleed = 0.15

func (b *blob) at(x, y int) int { return (y-b.box.Min.Y)*b.box.Dx() + x - b.box.Min.X }

// median returns the median per channel of nodes' log light off the sheet.
func (s *Sheet) median(nodes []int) (m [3]float32) {
	step := 1 + len(nodes)/500
	v := make([]float64, 0, 500)
	for k := range m {
		v = v[:0]
		for j := 0; j < len(nodes); j += step {
			v = append(v, float64(s.off[nodes[j]][k]))
		}
		m[k] = float32(order.Quantile(v, .5))
	}
	return m
}

// share returns how far log light off the sheet is from the sheet, 0, to the
// piece's middle, 1, in linear light.
func (b *blob) share(off [3]float32) float64 {
	dot, length := 0.0, 1e-9
	for k, m := range b.middle {
		d := 1 - math.Exp(float64(m))
		dot, length = dot+d*(1-math.Exp(float64(off[k]))), length+d*d
	}
	return dot / length
}

// fill takes in what the blob encloses.
func (b *blob) fill() {
	w := b.box.Dx()
	outside := make([]bool, len(b.in))
	stack := []int{0} // the border is never in
	outside[0] = true
	for len(stack) > 0 {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		for _, j := range [4]int{i - 1, i + 1, i - w, i + w} {
			// Rows run on into each other through the border, which is outside anyway.
			if j >= 0 && j < len(b.in) && !outside[j] && !b.in[j] {
				outside[j] = true
				stack = append(stack, j)
			}
		}
	}
	for i := range b.in {
		b.in[i] = !outside[i]
	}
}

// leaveOut marks what is much lighter than the piece's middle, or nearer to the
// sheet: holes, fittings, thread, glare. Darker parts are the leather's own.
func (b *blob) leaveOut(s *Sheet) {
	const lighter = 0.6 // log light; blotches of 3 ΔE00 stay within 0.2
	n := s.n
	middle, _ := levelTint(b.middle)
	for y := max(b.box.Min.Y, 0); y < min(b.box.Max.Y, n.h); y++ {
		for x := max(b.box.Min.X, 0); x < min(b.box.Max.X, n.w); x++ {
			i := b.at(x, y)
			if !b.in[i] {
				continue
			}
			off := s.off[y*n.w+x]
			level, _ := levelTint(off)
			b.out[i] = level > middle+lighter || b.share(off) < .5
		}
	}
}
