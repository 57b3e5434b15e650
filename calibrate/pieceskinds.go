package calibrate

import "image"

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
	s.settle(kinds)
	return kinds
}

// settle makes lone nodes that differ from the sheet by little more than noise what
// is round them, lest they bridge the gap between two pieces.
func (s *Sheet) settle(kinds []kind) {
	const faint, company = 4, 5 // times what bare sheet may be off; of eight neighbours
	n := s.n
	type change struct {
		i  int
		to kind
	}
	var lone []change
	for y := 1; y < n.h-1; y++ {
		for x := 1; x < n.w-1; x++ {
			i := y*n.w + x
			if kinds[i] != object {
				continue
			}
			if l, t := levelTint(s.off[i]); t > faint*s.tint || l < -faint*s.level {
				continue
			}
			var count [object + 1]int
			for _, j := range [8]int{i - 1, i + 1, i - n.w, i + n.w, i - n.w - 1, i - n.w + 1, i + n.w - 1, i + n.w + 1} {
				count[kinds[j]]++
			}
			switch {
			case count[object] >= company:
			case count[shade] > count[sheet]:
				lone = append(lone, change{i, shade})
			default:
				lone = append(lone, change{i, sheet})
			}
		}
	}
	for _, c := range lone {
		kinds[c.i] = c.to
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
