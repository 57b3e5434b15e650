// Package surface reads one region of a photo's Field: a piece, a part of it, or
// the swatch in the card's window. The region is cut into square tiles; each
// tile is a plain mean of its cells in linear light, and everything reported is
// made from the tiles: one robust Lab reading with its sampling covariance, and
// how uneven the surface is. Glare and clipped cells are left out and counted.
//
// Each figure of unevenness has its scale:
//
//	grain     finer than a tile       Reading.GraininessL
//	blotch    tile to tile, patchy    Reading.Blotch, MottleL, LuminanceCV
//	streak    tile to tile, one way   Reading.StreakCoherence
//	slope     from end to end         Reading.SlopeL
package surface

import (
	"errors"
	"fmt"
	"image"

	"evenhide/colour"
)

var (
	// ErrTooSmall is returned for a region with fewer tiles than Options.MinTiles.
	ErrTooSmall = errors.New("region too small")
	// ErrNothingLeft is returned for a region that was large enough until its
	// glare and clipped cells were left out.
	ErrNothingLeft = errors.New("too little left without glare and clipped cells")
)

// Region is the set of cells that belong to one piece or place.
type Region struct {
	Rect image.Rectangle // in cells; what lies outside the field is ignored
	In   []bool          // one a cell of Rect, row by row; nil means all of Rect
}

// Develop turns the camera's linear colour found at x, y into scene-linear
// colour in the working space, neutral and evenly lit, where 1,1,1 is a perfect
// white. x and y are cells of the upright field; the centre of the first cell is
// 0.5, 0.5. It must be smooth, because it is applied to means of tiles.
type Develop func(x, y float64, c colour.LinearRGB) colour.LinearRGB

// Options says how a region is measured. The zero value is a good choice when no
// scale is known.
type Options struct {
	// CellsPerMM is the photo's scale; 0 says that none is known. A tile is then
	// a 24th of the region's short side.
	CellsPerMM float64
	// MinTiles is the smallest number of tiles that is measured; 0 means 30,
	// and fewer than 6 counts as 6.
	MinTiles int
	// Weights are those of CIEDE2000; zero means kL = kC = kH = 1.
	Weights colour.Weights
}

// Reading is what one region shows. Lightness figures are in L*, for D65, 2°.
type Reading struct {
	// Lab is the colour of the region: the mean of its tiles in developed linear
	// light, without those on or beside marks and without the darkest and the
	// brightest twentieth of the others.
	Lab colour.Lab
	// Mean is the camera-linear mean of the same tiles and X, Y their centroid
	// in cells, so that the reading can be developed again otherwise.
	Mean colour.LinearRGB
	X, Y float64
	// Cov is the covariance of Lab as a mean over a blotchy surface, in the order
	// L*, a*, b*. It comes from the scatter of blocks of tiles, so that tiles
	// that share a blotch are not counted as independent.
	Cov [3][3]float64

	Tiles     int     // tiles measured
	TileCells float64 // side of a tile in cells
	Tile      string  // side of a tile in words: "1.27 mm", "32 px, no scale known"

	Blotch Blotch
	// MottleL and GraininessL are the measures of ISO/IEC 13660:2001, taken in L*
	// in place of density: the standard deviation of tile means, and the root
	// mean square of the standard deviations within tiles. Neither is corrected
	// for noise or slope, as in the standard (from memory).
	MottleL, GraininessL float64
	// LuminanceCV is the standard deviation of the tiles' luminance over its
	// mean, 0..; for small values MottleL = (L*+16)/3 · LuminanceCV above L* 8.
	LuminanceCV float64

	// SlopeL is the L* by which one end of the region is lighter than the other
	// along the steepest direction, 0 or more; SlopeDeg is the direction towards
	// the lighter end: 0 right, 90 up, 0..360 anticlockwise as seen.
	SlopeL, SlopeDeg float64

	// StreakCoherence is (λ1−λ2)/(λ1+λ2) of the structure tensor of L*, not
	// squared: 0 for no direction, 1 for perfect stripes. StreakLimit is what
	// a surface without direction exceeds about once in twenty; Streaky says that
	// the coherence is above it, however faint the streaks: how much they matter
	// is in Blotch. Streaks closer than three tiles from one to
	// the next count as grain. StreakDeg runs along the streaks: 0 horizontal,
	// 0..180 anticlockwise as seen.
	StreakCoherence, StreakLimit, StreakDeg float64
	Streaky                                 bool

	// GlarePercent and ClippedPercent are the shares of the region's cells, as far
	// as whole tiles cover it, that were left out, 0..100. Glare of a lamp whose
	// reflection is under 1.5 times the leather's own light is not told apart.
	GlarePercent, ClippedPercent float64
	// Veiled says that a shine lies over most of the region, so that Lab is the
	// shine's as much as the leather's.
	Veiled bool
	// MarkPercent is the share of the tiles that lie on or beside stitches, creases
	// and other marks, 0..100. They count in Patches alone.
	MarkPercent float64
	// Damp is what looks damp: dark, smooth, of the same hue, and shining.
	Damp Damp

	Patches []Patch
}

// Patch is a square of tiles with one reading.
type Patch struct {
	Rect  image.Rectangle // in cells of the field
	Lab   colour.Lab      // mean of its tiles in developed linear light; D65, 2°
	Tiles int
}

const (
	defaultTiles = 30
	// fewestTiles leaves a plane through the tiles, which has three unknowns,
	// as many degrees of freedom as it takes.
	fewestTiles = 6
)

// Measure returns the reading of region r of f. dev develops camera colour; nil
// leaves it as it is. Errors wrap ErrTooSmall when the region has fewer tiles
// than Options.MinTiles, and ErrNothingLeft when it had enough before glare and
// clipped cells were left out. Without a scale a tile shrinks to 2×2 cells
// before a region counts as too small, so that 12×12 cells are the smallest
// square measured by default; with a scale it stays at 1.27 mm.
func Measure(f *colour.Field, r Region, dev Develop, o Options) (Reading, error) {
	v, err := newView(f, r)
	if err != nil {
		return Reading{}, err
	}
	o, dev = o.filledIn(), dev.orNone()
	limits := newGlare(v, dev)
	g := newGrid(v, limits, o)
	if n := g.possible(); n < o.MinTiles {
		return Reading{}, fmt.Errorf("%w: %d tiles of %s, want %d", ErrTooSmall, n, g.words, o.MinTiles)
	}
	s := newSheet(g, dev)
	if n := len(s.tiles); n < o.MinTiles {
		return Reading{}, fmt.Errorf("%w: %d of %d tiles, want %d (glare %.0f %%, clipped %.0f %%)",
			ErrNothingLeft, n, g.possible(), o.MinTiles, g.percent(g.glare), g.percent(g.clipped))
	}
	return s.reading(o), nil
}

// filledIn returns o with its defaults.
func (o Options) filledIn() Options {
	if o.Weights == (colour.Weights{}) {
		o.Weights = colour.UnitWeights()
	}
	if o.MinTiles == 0 {
		o.MinTiles = defaultTiles
	}
	o.MinTiles = max(o.MinTiles, fewestTiles)
	return o
}

// orNone returns d, or what leaves colours as they are.
func (d Develop) orNone() Develop {
	if d == nil {
		return func(_, _ float64, c colour.LinearRGB) colour.LinearRGB { return c }
	}
	return d
}

// reading gathers every figure from the tiles.
func (s *sheet) reading(o Options) Reading {
	g := s.grid
	rd := Reading{
		Tiles: len(s.tiles), TileCells: g.side, Tile: g.words,
		GlarePercent: g.percent(g.glare), ClippedPercent: g.percent(g.clipped),
	}
	rd.Patches = s.patches()
	all := s
	s = s.unmarked(o.MinTiles)
	s.mean(&rd)
	rd.MarkPercent = 100 * float64(len(all.tiles)-len(s.tiles)) / float64(len(all.tiles))
	s.findNoise()
	trend := s.fitTrend()
	rd.Cov = s.covariance(trend)
	rd.Blotch = s.blotch(rd.Lab, trend, o.Weights)
	rd.MottleL, rd.GraininessL, rd.LuminanceCV = s.iso13660()
	rd.SlopeL, rd.SlopeDeg = s.slope(trend)
	s.levels(trend).streaks(&rd)
	rd.Veiled = s.veiled(rd.LuminanceCV)
	rd.Damp = all.damp(trend, rd.GlarePercent)
	return rd
}
