package dye

import (
	"math"
	"slices"
)

// Which parts of a reading's variance, without what the model leaves open, are shared by
// all readings of a colour, whose swatch and hide and card are the same, and by those of
// one photo (measured on rendered pieces). The rest is its own.
const (
	sharedByColour = .4
	sharedByPhoto  = .35
)

// ofColour is how many errors all readings of a colour share: of what they are held
// against, of the three bands, and of the dye's law.
const ofColour = 3

// parts splits the variance of a reading: how far one standard uncertainty of the three
// bands and of the dye's law move it, and the variance of the rest. A reading says the
// sum alone, and an older one may hold less of the model.
func (c Coat) parts() (threeBands, bend, rest float64) {
	const most = .75 // of the variance is the model's
	variance := c.U * c.U / 4
	threeBands, bend = DabOptions().modelUncertainty(c.Strength)
	if model := threeBands*threeBands + bend*bend; model > most*variance {
		share := math.Sqrt(most * variance / model)
		threeBands, bend = share*threeBands, share*bend
	}
	return threeBands, bend, variance - threeBands*threeBands - bend*bend
}

// witnesses are the readings of a colour's pieces, and the errors that they share.
type witnesses struct {
	pieces []witness
	photos map[int64]int // to its error among the shared ones
	shared []float64     // what is known of these: information, the lower triangle, by row
	pulls  []float64     // and where that draws them
	first  []int         // of each row of shared the first that is not nought
	at     onCurve       // the piece at hand
	moved  []movement    // how the shared errors move its readings, divided by their root
}

// witness is one piece's readings: the variance of each that no other shares, and how
// the shared errors move them.
type witness struct {
	coats []Coat
	own   []float64
	moved []movement
}

// movement is which shared error moves a piece's readings by how much, none before first.
type movement struct {
	by, first int
	column    []float64
}

func newWitnesses(pieces [][]Coat) *witnesses {
	w := &witnesses{photos: map[int64]int{}}
	seen := map[int64]int{}
	for _, coats := range pieces {
		for _, c := range coats {
			if seen[c.Photo]++; c.Photo != 0 && seen[c.Photo] == 2 {
				w.photos[c.Photo] = len(w.photos)
			}
		}
	}
	for _, coats := range pieces {
		if len(coats) > 0 {
			w.pieces = append(w.pieces, w.witness(coats))
		}
	}
	k := ofColour + len(w.photos)
	w.shared, w.pulls, w.first = make([]float64, k*k), make([]float64, k), make([]int, k)
	return w
}

// witness works out what errors a piece's readings have.
func (w *witnesses) witness(coats []Coat) witness {
	out := witness{coats: coats, own: make([]float64, len(coats))}
	column := func(by, reading int) []float64 {
		for _, m := range out.moved {
			if m.by == by {
				return m.column
			}
		}
		out.moved = append(out.moved, movement{by, reading, make([]float64, len(coats))})
		return out.moved[len(out.moved)-1].column
	}
	colour := len(w.photos) // its errors come last
	for i, c := range coats {
		threeBands, bend, rest := c.parts()
		column(colour, i)[i] = math.Sqrt(sharedByColour * rest)
		column(colour+1, i)[i], column(colour+2, i)[i] = threeBands, bend
		out.own[i] = rest * (1 - sharedByColour)
		if photo, is := w.photos[c.Photo]; is {
			column(photo, i)[i] = math.Sqrt(sharedByPhoto * rest)
			out.own[i] -= sharedByPhoto * rest
		}
	}
	return out
}

// misfit returns -2 ln of how likely the readings are on a curve, up to a constant:
// pieces are normal and apart from each other but for the shared errors, which are
// integrated out.
func (w *witnesses) misfit(c curve) (misfit float64) {
	k := len(w.pulls)
	clear(w.shared)
	clear(w.pulls)
	for i := range k {
		w.shared[i*k+i] = 1
	}
	for _, piece := range w.pieces {
		w.at.place(c, piece.coats, piece.own)
		m := len(piece.coats)
		for i, y := range w.at.white {
			misfit += y*y + 2*math.Log(w.at.root[i*m+i])
		}
		w.move(piece)
		for i, a := range w.moved {
			w.pulls[a.by] += product(a.column[a.first:], w.at.white[a.first:])
			for _, b := range w.moved[:i+1] {
				from := max(a.first, b.first)
				w.shared[max(a.by, b.by)*k+min(a.by, b.by)] += product(a.column[from:], b.column[from:])
			}
		}
	}
	return misfit + w.integrate()
}

// product returns the sum of the products of what two columns hold in the same places.
func product(a, b []float64) (sum float64) {
	b = b[:len(a)]
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}

// move works out how the shared errors move the readings of the piece at hand, divided
// by the root of their covariance. What w holds is used again.
func (w *witnesses) move(piece witness) {
	n := len(piece.moved)
	w.moved = slices.Grow(w.moved[:0], n)[:n]
	for i, m := range piece.moved {
		w.moved[i] = movement{m.by, m.first, append(w.moved[i].column[:0], m.column...)}
		w.at.whiten(w.moved[i].column)
	}
}

// integrate returns what the shared errors add to the misfit, each of them normal with
// variance 1 before the readings: ln of the determinant of what is known less what they
// explain. Photos that show no piece in common know nothing of each other until the
// colour's errors come in: what is nought at the beginning of a row stays so.
func (w *witnesses) integrate() (misfit float64) {
	k := len(w.pulls)
	for i := range k {
		first := 0
		for w.shared[i*k+first] == 0 {
			first++
		}
		w.first[i] = first
		for j := first; j <= i; j++ {
			from := max(first, w.first[j])
			s := w.shared[i*k+j] - product(w.shared[i*k+from:i*k+max(from, j)], w.shared[j*k+from:])
			if i == j {
				w.shared[i*k+i] = math.Sqrt(s)
			} else {
				w.shared[i*k+j] = s / w.shared[j*k+j]
			}
		}
		w.pulls[i] -= product(w.shared[i*k+first:i*k+i], w.pulls[first:])
		w.pulls[i] /= w.shared[i*k+i]
		misfit += 2*math.Log(w.shared[i*k+i]) - w.pulls[i]*w.pulls[i]
	}
	return misfit
}
