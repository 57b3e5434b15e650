package photo

import (
	"image"
	"math"
	"sort"
)

// layout places the cells of the upright Field on the stored picture. Cells are
// anchored at the top left of the upright photo, so that a picture gives the
// same Field however it is stored: where a stored axis runs backwards, its first
// cell is the part-filled one.
type layout struct {
	stored image.Point // pixels
	turn   orientation
	cell   int   // pixels along a side
	x, y   []int // stored coordinates where cells begin, and the end
}

// newLayout returns the layout with cells of the given side.
func newLayout(stored image.Point, turn orientation, cell int) layout {
	flipX, flipY := turn.flips()
	return layout{stored, turn, cell, edges(stored.X, cell, flipX), edges(stored.Y, cell, flipY)}
}

// cellFor returns the side of the smallest cells that keep the Field of a picture
// within maxCells.
func cellFor(stored image.Point, maxCells int) int {
	least := int(math.Ceil(math.Sqrt(float64(stored.X) * float64(stored.Y) / float64(maxCells))))
	least = max(least, 1)
	most := max(stored.X, stored.Y)
	return least + sort.Search(max(most-least, 0), func(more int) bool {
		return cells(stored.X, least+more)*cells(stored.Y, least+more) <= maxCells
	})
}

func cells(pixels, cell int) int { return (pixels + cell - 1) / cell }

// edges returns where the cells along an axis of n pixels begin, and n.
func edges(n, cell int, flipped bool) []int {
	count := cells(n, cell)
	at := make([]int, count+1)
	for i := range at {
		if flipped {
			at[i] = max(n-(count-i)*cell, 0)
		} else {
			at[i] = min(i*cell, n)
		}
	}
	return at
}

// size returns the Field's width and height in cells.
func (l layout) size() (w, h int) {
	up := l.turn.upright(image.Pt(len(l.x)-1, len(l.y)-1))
	return up.X, up.Y
}

// index returns where the cell at column cx, row cy of the stored picture lies
// in the Field, and how much further on each next column is.
func (l layout) index(cx, cy int) (index, step int) {
	flipX, flipY := l.turn.flips()
	w, h := len(l.x)-1, len(l.y)-1
	step = 1
	if flipX {
		cx, step = w-1-cx, -1
	}
	if flipY {
		cy = h - 1 - cy
	}
	if l.turn.transposes() {
		return cx*h + cy, step * h
	}
	return cy*w + cx, step
}
