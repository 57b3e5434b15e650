package surface

import (
	"math"

	"evenhide/colour"
)

// sampleTiles is how many tiles are enough where each says the same: their mean
// square is then known to √(2/4096) = 2 %.
const sampleTiles = 4096

// tile is the mean of a tile's kept cells.
type tile struct {
	col, row int
	x, y     float64 // centre in cells
	camera   colour.LinearRGB
	light    colour.LinearRGB // developed
	lum      float64          // developed luminance
	lab      colour.Lab
	grainCV  float64 // standard deviation over mean of camera luminance within it
}

// sheet is a region as tiles.
type sheet struct {
	grid  *grid
	dev   Develop
	space colour.Space // of developed light; held because it takes a while to make
	tiles []tile
	// noise is the covariance of a tile's camera-linear mean that comes from
	// grain: from how far the quarters of a tile differ.
	noise colour.Matrix
}

func newSheet(g *grid, dev Develop) *sheet {
	s := &sheet{grid: g, dev: dev, space: colour.WorkingSpace(),
		tiles: make([]tile, 0, g.possible())}
	cols, rows := g.size()
	for j := range rows {
		for i := range cols {
			q := g.quarters(i, j)
			r := g.rect(i, j, 1, 1)
			if t, ok := newTile(&q, g, r.Dx()*r.Dy()); ok {
				t.col, t.row = i, j
				t.x, t.y = float64(r.Min.X+r.Max.X)/2, float64(r.Min.Y+r.Max.Y)/2
				if s.develop(&t) {
					s.tiles = append(s.tiles, t)
				}
			}
		}
	}
	return s
}

// findNoise sets the noise of the tiles' means, from an even sample of them.
func (s *sheet) findNoise() {
	s.noise = colour.Matrix{}
	pairs := 0
	for i, step := 0, 1+len(s.tiles)/sampleTiles; i < len(s.tiles); i += step {
		pairs += s.addNoise(s.grid.quarters(s.tiles[i].col, s.tiles[i].row))
	}
	for i := range s.noise {
		for j := range s.noise {
			s.noise[i][j] /= float64(max(pairs, 1))
		}
	}
}

// newTile sums up four quarters, and reports whether enough cells were kept.
func newTile(q *[4]*bin, g *grid, area int) (t tile, ok bool) {
	var count int
	var yy, grain float64
	for _, p := range q {
		count += p.n
		t.camera.R, t.camera.G, t.camera.B = t.camera.R+p.r, t.camera.G+p.g, t.camera.B+p.b
		yy, grain = yy+p.yy, grain+p.grain
	}
	if count == 0 || float64(count) < keptLeast*float64(area) {
		return t, false
	}
	n := float64(count)
	t.camera.R, t.camera.G, t.camera.B = t.camera.R/n, t.camera.G/n, t.camera.B/n
	mean := luminosity(t.camera)
	off := mean - g.limits.median
	within := grain/n + max(0, yy-n*off*off)/max(n-1, 1)
	if mean > 0 {
		t.grainCV = math.Sqrt(within) / mean
	}
	return t, true
}

// develop sets a tile's developed colour and reports whether it is a number.
func (s *sheet) develop(t *tile) bool {
	t.light = s.dev(t.x, t.y, t.camera)
	t.lum = luminosity(t.light)
	t.lab = s.toLab(t.light)
	for _, c := range [3]float64{t.light.R, t.light.G, t.light.B} {
		if !finite(float32(c)) {
			return false
		}
	}
	return t.lab.Finite()
}

// addNoise adds what the quarters of one tile say of the noise of its mean: the
// covariance of four means, over four. It counts 0 when a quarter has under half
// of its share, and is not like the others.
func (s *sheet) addNoise(q [4]*bin) int {
	var mean [3]float64
	var m [4][3]float64
	for k, b := range q {
		if 2*b.n < b.in || b.n == 0 {
			return 0
		}
		n := float64(b.n)
		m[k] = [3]float64{b.r / n, b.g / n, b.b / n}
		for c := range mean {
			mean[c] += m[k][c] / 4
		}
	}
	for i := range mean {
		for j := range mean {
			for k := range m {
				s.noise[i][j] += (m[k][i] - mean[i]) * (m[k][j] - mean[j]) / 3 / 4
			}
		}
	}
	return 1
}

// luminosity returns the luminance Y of c, 0..1.
func luminosity(c colour.LinearRGB) float64 {
	return 0.212639*c.R + 0.715169*c.G + 0.072192*c.B
}
