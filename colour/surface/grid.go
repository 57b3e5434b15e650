package surface

import (
	"fmt"
	"image"
	"math"
	"slices"
)

const (
	// tileMM is the side of a tile by ISO/IEC 13660:2001 (from memory).
	tileMM = 1.27
	// tileCells is the least side with a scale: a quarter of a tile is then a cell.
	// Coarser photos get larger tiles, and Tile says so.
	tileCells = smallestTile
	// unscaledCells is the side that is aimed at without a scale: with 4×4 cells a
	// quarter is a mean too.
	unscaledCells = 4
	// shortTiles is how many tiles span the short side when there is no scale.
	shortTiles = 24
	// smallestTile is the side below which there are no four quarters.
	smallestTile = 2
	// keptLeast is the share of a tile's cells that must be kept.
	keptLeast = 0.6
)

// grid cuts a view into quarter tiles, two by two to a tile, centred in the
// view. What does not fill a tile at its edges is not measured.
type grid struct {
	v       *view
	limits  *glare
	side    float64 // of a tile in cells
	words   string  // the same for people
	xs, ys  []int   // boundaries of quarter tiles
	bins    []bin   // row by row
	seeds   []image.Point
	lit     []bool // cells of glare, one a cell of bounds; nil when there is none
	glare   int    // cells left out
	clipped int
}

// newGrid chooses the tile and sums the cells. Without a scale the tile shrinks
// until the region has enough of them, or it cannot shrink further.
func newGrid(v *view, limits *glare, o Options) *grid {
	short := min(v.rect.Dx(), v.rect.Dy())
	if o.CellsPerMM > 0 && !math.IsInf(o.CellsPerMM, 0) {
		side := max(tileMM*o.CellsPerMM, tileCells)
		return cut(v, limits, side, fmt.Sprintf("%.3g mm", side/o.CellsPerMM))
	}
	side := max(short/shortTiles, unscaledCells)
	for {
		g := cut(v, limits, float64(side), fmt.Sprintf("%d px, no scale known", side*v.f.Cell))
		if g.possible() >= o.MinTiles || side <= smallestTile {
			return g
		}
		side--
	}
}

// cut returns the summed grid of tiles with the given side.
func cut(v *view, limits *glare, side float64, words string) *grid {
	g := &grid{v: v, limits: limits, side: side, words: words,
		xs: bounds(v.rect.Min.X, v.rect.Dx(), side), ys: bounds(v.rect.Min.Y, v.rect.Dy(), side)}
	g.bins = make([]bin, max(0, len(g.xs)-1)*max(0, len(g.ys)-1))
	g.sum()
	g.glare = g.growGlare()
	return g
}

// bounds returns where the quarter tiles of as many whole tiles as fit into
// length begin and end. Sides that are no whole number of cells vary by one.
func bounds(from, length int, side float64) []int {
	n := int(float64(length) / side)
	if n == 0 {
		return nil
	}
	start := from + (length-int(math.Round(float64(n)*side)))/2
	out := make([]int, 2*n+1)
	for i := range out {
		out[i] = start + int(math.Round(float64(i)*side/2))
	}
	return out
}

// size returns the number of tile columns and rows.
func (g *grid) size() (cols, rows int) { return max(0, len(g.xs)-1) / 2, max(0, len(g.ys)-1) / 2 }

// bounds returns the cells that the grid covers.
func (g *grid) bounds() image.Rectangle {
	if len(g.bins) == 0 {
		return image.Rectangle{}
	}
	return image.Rect(g.xs[0], g.ys[0], g.xs[len(g.xs)-1], g.ys[len(g.ys)-1])
}

// rect returns the cells of the w×h tiles from column i, row j.
func (g *grid) rect(i, j, w, h int) image.Rectangle {
	return image.Rect(g.xs[2*i], g.ys[2*j], g.xs[2*(i+w)], g.ys[2*(j+h)])
}

// quarters returns the four bins of the tile at column i, row j.
func (g *grid) quarters(i, j int) [4]*bin {
	w := len(g.xs) - 1
	at := 2*j*w + 2*i
	return [4]*bin{&g.bins[at], &g.bins[at+1], &g.bins[at+w], &g.bins[at+w+1]}
}

// binAt returns the bin that holds the cell p, which must be in bounds.
func (g *grid) binAt(p image.Point) *bin {
	find := func(at []int, v int) int {
		i, exact := slices.BinarySearch(at, v)
		if exact {
			return i
		}
		return i - 1
	}
	return &g.bins[find(g.ys, p.Y)*(len(g.xs)-1)+find(g.xs, p.X)]
}

// possible returns how many tiles lie in the region, glare and all.
func (g *grid) possible() (n int) {
	cols, rows := g.size()
	for j := range rows {
		for i := range cols {
			r := g.rect(i, j, 1, 1)
			var in int
			for _, q := range g.quarters(i, j) {
				in += q.in
			}
			if float64(in) >= keptLeast*float64(r.Dx()*r.Dy()) {
				n++
			}
		}
	}
	return n
}

// percent returns n cells as a percentage of the region's cells in the grid.
func (g *grid) percent(n int) float64 {
	var in int
	for _, b := range g.bins {
		in += b.in
	}
	return 100 * float64(n) / float64(max(in, 1))
}
