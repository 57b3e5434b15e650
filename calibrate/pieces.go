package calibrate

import (
	"image"
	"math"
	"slices"

	"evenhide/colour/surface"
)

// Piece is one thing found on the sheet.
type Piece struct {
	// Region is what to measure: cells of the field well inside the outline,
	// without holes, fittings and whatever else is much lighter than the rest.
	Region surface.Region
	// Outline runs round the piece, holes ignored, in cells. It is the piece as it
	// lies in the photo, no margin taken off.
	Outline Polygon
	Box     image.Rectangle // of the outline, in cells
	Area    float64         // within the outline, in cells
	// Edge is how wide the piece's edge is, in cells: the wider the more blurred.
	Edge float64
	// Faults say in plain words why readings of the piece may be wrong: it is half
	// out of the photo, in a shadow, blurred. Empty for a good piece.
	Faults []string
}

// PieceOptions says how pieces are looked for. The zero value is a good choice
// when no scale is known.
type PieceOptions struct {
	// CellsPerMM is the photo's scale in the middle of the sheet; 0 says that none is
	// known.
	CellsPerMM float64
	// MarginMM is how far inside the outline a piece is measured; 0 means 1.5 mm, and
	// 0.4 % of the photo's longer side without a scale.
	MarginMM float64
}

// What makes a piece.
const (
	leastPieceMM2   = 150.0  // smaller ones are dirt, offcuts, letters
	leastPieceShare = 0.0005 // of the photo, without a scale
	usualMarginMM   = 1.5    // a burnished edge, and what the lens blurs
	usualMargin     = 0.004  // of the photo's longer side
	leastCore       = 0.2    // share of a piece's nodes with all eight around in it too: print and creases are thinner
)

// Pieces returns what lies on the sheet beside the card, in reading order: rows
// from the top, within a row from the left. What touches counts as one piece. What
// differs from the sheet neither in tint nor in lightness, by more than the photo's
// noise, cannot be seen; and of what reaches over the sheet's edge only the part
// on the sheet is found.
func (s *Sheet) Pieces(o PieceOptions) []Piece {
	n := s.n
	least := leastPieceShare * float64(n.f.W) * float64(n.f.H)
	margin := usualMargin * float64(max(n.f.W, n.f.H))
	if o.CellsPerMM > 0 && !math.IsInf(o.CellsPerMM, 0) {
		least = leastPieceMM2 * o.CellsPerMM * o.CellsPerMM
		margin = usualMarginMM * o.CellsPerMM
		if o.MarginMM > 0 {
			margin = o.MarginMM * o.CellsPerMM
		}
	}
	blobs := s.blobs(least / float64(n.side*n.side))
	found := make([]Piece, len(blobs))
	dim := s.dim()
	inBands(len(blobs), func(from, to int) {
		for i := from; i < to; i++ {
			found[i] = s.piece(blobs[i], margin, dim)
		}
	})
	found = slices.DeleteFunc(found, func(p Piece) bool { return p.Area < least })
	return inReadingOrder(found)
}

// kind is what a node shows.
type kind uint8

const (
	elsewhere kind = iota // the bench, the card
	sheet                 // bare or nearly so
	shade                 // neutral and darker: a shadow, or a grey piece
	glow                  // neutral and lighter: a crease, or a whiter thing
	object
)

// kinds tells every node's kind.
func (s *Sheet) kinds() []kind {
	kinds := make([]kind, len(s.off))
	for i, off := range s.off {
		if !s.hull[i] || s.card[i] {
			continue
		}
		switch l, t := levelTint(off); {
		case s.shaded(off):
			kinds[i] = shade
		case t > s.tint || l < -s.level:
			kinds[i] = object
		case l > s.level:
			kinds[i] = glow
		default:
			kinds[i] = sheet
		}
	}
	return kinds
}

// blob is a piece as nodes: those in a box with a border of blobBorder nodes.
type blob struct {
	box    image.Rectangle // of nodes, border included; may reach out of the field
	in     []bool          // one a node of box, holes filled
	out    []bool          // left out: holes and fittings
	middle [3]float32      // median log light off the sheet
	count  int
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
		if b := s.newBlob(nodes); b != nil && float64(b.count) >= least/2 && !s.beside(b) {
			out = append(out, b)
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
	sizes := make([]int, len(parent))
	for i := range parent {
		if parent[i] >= 0 {
			parent[i] = root(parent, int32(i))
			sizes[parent[i]]++
		}
	}
	var out [][]int
	at := make(map[int32]int)
	const crumbs = 12 // nodes: never a piece
	for i, r := range parent {
		if r < 0 || sizes[r] < crumbs {
			continue
		}
		k, ok := at[r]
		if !ok {
			k = len(out)
			at[r] = k
			out = append(out, make([]int, 0, sizes[r]))
		}
		out[k] = append(out[k], i)
	}
	return out
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
	return b
}

// beside reports whether more of the blob's edge lies along the sheet's edge than a
// piece's does: the bench beside a sheet that is not quite convex.
func (s *Sheet) beside(b *blob) bool {
	const most = .4
	r := s.round(b, nil)
	return float64(r.beyond) > most*float64(r.edge)
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
		m[k] = float32(quantile(v, .5))
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

// closed reports whether nodes of a neutral kind are a piece rather than a shadow
// or a crease: bounded by bare sheet nearly all round, with a sharp edge.
func (s *Sheet) closed(nodes []int, kinds []kind) bool {
	const mostOther, leastSharp = 0.1, 0.7 // of the boundary
	n := s.n
	middle, _ := levelTint(s.median(nodes))
	mine := kinds[nodes[0]]
	edge, other, sharp := 0, 0, 0
	for _, i := range nodes {
		x, y := i%n.w, i/n.w
		for _, d := range [4]image.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
			p, beyond := image.Pt(x, y).Add(d), image.Pt(x, y).Add(d.Mul(2))
			if n.kindAt(kinds, p) == mine {
				continue
			}
			edge++
			k := n.kindAt(kinds, beyond)
			if k != sheet {
				other++
				continue
			}
			inner := image.Pt(x, y).Sub(d)
			if n.kindAt(kinds, inner) != mine {
				continue
			}
			a, _ := levelTint(s.off[inner.Y*n.w+inner.X])
			b, _ := levelTint(s.off[beyond.Y*n.w+beyond.X])
			if (a-b)/middle > .6 {
				sharp++
			}
		}
	}
	return float64(other) < mostOther*float64(edge) && float64(sharp) > leastSharp*float64(edge-other)
}

func (n *nodes) kindAt(kinds []kind, p image.Point) kind {
	if p.X < 0 || p.Y < 0 || p.X >= n.w || p.Y >= n.h {
		return elsewhere
	}
	return kinds[p.Y*n.w+p.X]
}

// inReadingOrder sorts pieces into rows from the top, and within a row from the
// left. A row holds what has its middle beside its topmost piece.
func inReadingOrder(p []Piece) []Piece {
	middle := func(p Piece) image.Point { return p.Box.Min.Add(p.Box.Max).Div(2) }
	slices.SortStableFunc(p, func(a, b Piece) int { return middle(a).Y - middle(b).Y })
	for from := 0; from < len(p); {
		to := from + 1
		for to < len(p) && middle(p[to]).Y < p[from].Box.Max.Y {
			to++
		}
		slices.SortStableFunc(p[from:to], func(a, b Piece) int { return middle(a).X - middle(b).X })
		from = to
	}
	return p
}
