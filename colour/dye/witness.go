package dye

import (
	"math"
	"slices"
)

// Which parts of a reading's variance are shared by all readings of a colour, whose
// swatch and hide and card are the same, and by those of one photo (measured on
// rendered pieces). The rest is its own.
const (
	sharedByColour = .4
	sharedByPhoto  = .35
)

// witnesses are the readings of a colour's pieces, and the errors that they share.
type witnesses struct {
	pieces [][]Coat
	photos map[int64]int // to its error among the shared ones
	shared []float64     // what is known of these: information, by row
	pulls  []float64     // and where that draws them
	at     onCurve       // the piece at hand
	moved  []movement    // how the shared errors move its readings
}

// movement is which shared error moves a piece's readings by how much.
type movement struct {
	by     int
	column []float64
}

func newWitnesses(pieces [][]Coat) *witnesses {
	w := &witnesses{photos: map[int64]int{}}
	seen := map[int64]int{}
	for _, coats := range pieces {
		if len(coats) > 0 {
			w.pieces = append(w.pieces, coats)
		}
		for _, c := range coats {
			if seen[c.Photo]++; c.Photo != 0 && seen[c.Photo] == 2 {
				w.photos[c.Photo] = len(w.photos) + 1 // the first is the colour's
			}
		}
	}
	k := len(w.photos) + 1
	w.shared, w.pulls = make([]float64, k*k), make([]float64, k)
	return w
}

// own returns which part of a reading's variance no other shares.
func (w *witnesses) own(c Coat) float64 {
	if w.photos[c.Photo] == 0 {
		return 1 - sharedByColour
	}
	return 1 - sharedByColour - sharedByPhoto
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
	for _, coats := range w.pieces {
		w.at.place(c, coats, w.own)
		m := len(coats)
		for i, y := range w.at.white {
			misfit += y*y + 2*math.Log(w.at.root[i*m+i])
		}
		w.move()
		for _, a := range w.moved {
			for r, x := range a.column {
				w.pulls[a.by] += x * w.at.white[r]
			}
			for _, b := range w.moved {
				for r, x := range a.column {
					w.shared[a.by*k+b.by] += x * b.column[r]
				}
			}
		}
	}
	return misfit + w.integrate()
}

// move works out how the shared errors move the readings of the piece at hand, divided
// by the root of their covariance.
func (w *witnesses) move() {
	coats := w.at.coats
	n := 0
	next := func(by int) []float64 {
		if n == len(w.moved) {
			w.moved = append(w.moved, movement{})
		}
		x := &w.moved[n]
		x.by, x.column = by, slices.Grow(x.column[:0], len(coats))[:len(coats)]
		clear(x.column)
		n++
		return x.column
	}
	w.moved = w.moved[:cap(w.moved)]
	all := next(0)
	for i, c := range coats {
		all[i] = math.Sqrt(sharedByColour) * c.U / 2
		if photo := w.photos[c.Photo]; photo != 0 {
			next(photo)[i] = math.Sqrt(sharedByPhoto) * c.U / 2
		}
	}
	w.moved = w.moved[:n]
	for _, x := range w.moved {
		w.at.whiten(x.column)
	}
}

// integrate returns what the shared errors add to the misfit, each of them normal with
// variance 1 before the readings: ln of the determinant of what is known less what they
// explain.
func (w *witnesses) integrate() (misfit float64) {
	k := len(w.pulls)
	for i := range k {
		for j := range i + 1 {
			s := w.shared[i*k+j]
			for q := range j {
				s -= w.shared[i*k+q] * w.shared[j*k+q]
			}
			if i == j {
				w.shared[i*k+i] = math.Sqrt(s)
			} else {
				w.shared[i*k+j] = s / w.shared[j*k+j]
			}
		}
		for q := range i {
			w.pulls[i] -= w.shared[i*k+q] * w.pulls[q]
		}
		w.pulls[i] /= w.shared[i*k+i]
		misfit += 2*math.Log(w.shared[i*k+i]) - w.pulls[i]*w.pulls[i]
	}
	return misfit
}
