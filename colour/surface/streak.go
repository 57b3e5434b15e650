package surface

import "math"

// Streaks are looked for in the structure tensor (Bigün and Granlund 1987, from
// memory) of L* less its plane, at three sizes: tiles, and squares of 2×2 and 4×4
// tiles, because wide and faint streaks drown in the noise of single tiles. The
// size that stands furthest above its limit is reported.
const (
	streakSizes = 3
	// gradientsLeast is how many gradients a size must have to be looked at.
	gradientsLeast = 12
	// once is the chance, over all sizes, that a surface without direction is
	// called streaky; each size gets its third of it (Bonferroni).
	once = 0.05
	// steepLeast is the root mean square gradient, in L* a tile, below which
	// a surface has no direction: hundredths of what an eye sees, and above the
	// rounding of the field's numbers.
	steepLeast = 0.01
)

// levels is a map of L* less its plane: NaN where there is no tile.
type levels struct {
	w, h int
	l    []float64
}

// streaks sets the reading's streak figures.
func (s *sheet) streaks(tr trend, rd *Reading) {
	cols, rows := s.grid.size()
	m := levels{cols, rows, make([]float64, cols*rows)}
	for i := range m.l {
		m.l[i] = math.NaN()
	}
	for i, t := range s.tiles {
		m.l[t.row*cols+t.col] = tr.residual[i][0]
	}
	best := math.Inf(-1)
	rd.StreakLimit = 1
	for range streakSizes {
		t, n := m.tensor()
		if n < gradientsLeast || t.sum()[2] < steepLeast*steepLeast*float64(n) {
			break
		}
		c, deg := t.coherence()
		limit := t.limit(n)
		if c/limit > best {
			best = c / limit
			rd.StreakCoherence, rd.StreakDeg, rd.StreakLimit = c, deg, limit
		}
		m = m.half()
	}
	rd.Streaky = rd.StreakCoherence > rd.StreakLimit
}

// half returns the map at half the size: means of 2×2, of which two must be there.
func (m levels) half() levels {
	out := levels{m.w / 2, m.h / 2, make([]float64, m.w/2*(m.h/2))}
	for i := range out.l {
		at := i/out.w*2*m.w + i%out.w*2
		sum, n := 0.0, 0.0
		for _, l := range [4]float64{m.l[at], m.l[at+1], m.l[at+m.w], m.l[at+m.w+1]} {
			if !math.IsNaN(l) {
				sum, n = sum+l, n+1
			}
		}
		out.l[i] = math.NaN()
		if n >= 2 {
			out.l[i] = sum / n
		}
	}
	return out
}

// tensor is the structure tensor summed over blocks: for each, the sums of
// gx²−gy² and 2·gx·gy, and of gx²+gy², with y upwards.
type tensor [][3]float64

// blocksShort is how many blocks span the short side, and blocksMost how many
// there are about at most; a block must hold whole blotches to be independent.
const blocksShort, blocksMost = 4, 36

// tensor returns the blocks' tensors and the number of gradients. The gradient
// is Scharr's, whose direction is true to half a degree for waves of six tiles
// or more. It is taken only where all nine tiles are there, so that both its
// parts or neither is known and no edge or hole adds a direction of its own.
func (m levels) tensor() (tensor, int) {
	side := max(1, min(m.w, m.h)/blocksShort, int(math.Sqrt(float64(m.w*m.h)/blocksMost)))
	wide := (m.w + side - 1) / side
	t := make(tensor, wide*((m.h+side-1)/side))
	n := 0
	for y := 1; y+1 < m.h; y++ {
		for x := 1; x+1 < m.w; x++ {
			up, mid, low := m.l[(y-1)*m.w+x-1:][:3], m.l[y*m.w+x-1:][:3], m.l[(y+1)*m.w+x-1:][:3]
			gx := 3*(up[2]-up[0]+low[2]-low[0]) + 10*(mid[2]-mid[0])
			gy := 3*(up[0]-low[0]+up[2]-low[2]) + 10*(up[1]-low[1])
			gx, gy = gx/32, gy/32
			if g := gx*gx + gy*gy + 0*mid[1]; !math.IsNaN(g) {
				b := &t[y/side*wide+x/side]
				b[0], b[1], b[2] = b[0]+gx*gx-gy*gy, b[1]+2*gx*gy, b[2]+g
				n++
			}
		}
	}
	return t, n
}

func (t tensor) sum() (sum [3]float64) {
	for _, b := range t {
		for i := range sum {
			sum[i] += b[i]
		}
	}
	return sum
}

// coherence returns (λ1−λ2)/(λ1+λ2) and the direction across the gradients, in
// degrees 0..180, anticlockwise from horizontal.
func (t tensor) coherence() (c, deg float64) {
	v := t.sum()
	if !(v[2] > 0) {
		return 0, 0
	}
	across := math.Atan2(v[1], v[0]) / 2
	return math.Hypot(v[0], v[1]) / v[2], math.Mod(across*180/math.Pi+90+180, 180)
}

// limit returns the coherence that a surface without direction exceeds once in
// sixty: the larger of that of white noise with as many gradients and, because a
// blotchy surface has fewer gradients that are independent, that of a surface
// whose blocks scatter as these do (Hotelling's T²).
func (t tensor) limit(gradients int) float64 {
	white := whiteLimit(gradients)
	v := t.sum()
	var xx, xy, yy float64
	blocks := 0.0
	for _, b := range t {
		if b[2] > 0 {
			ux, uy := b[0]-v[0]/v[2]*b[2], b[1]-v[1]/v[2]*b[2]
			xx, xy, yy = xx+ux*ux, xy+ux*uy, yy+uy*uy
			blocks++
		}
	}
	if blocks <= 3 {
		return 1
	}
	k := blocks / (blocks - 1) / (v[2] * v[2])
	xx, xy, yy = k*xx, k*xy, k*yy
	// The variance along the tensor's own direction, which T² reduces to when
	// the scatter is round; the larger of it and the mean one is the safer.
	c := math.Hypot(v[0], v[1])
	ux, uy := v[0]/c, v[1]/c
	along := ux*ux*xx + 2*ux*uy*xy + uy*uy*yy
	free := blocks - 2
	f := free / 2 * (math.Pow(once/streakSizes, -2/free) - 1) // upper point of F(2, free)
	scatter := math.Sqrt(2 * (blocks - 1) / free * f * max(along, 0))
	return min(1, max(white, scatter))
}

// whiteLimit is the coherence that white noise exceeds once in sixty, for n
// gradients: fitted to simulation.
func whiteLimit(n int) float64 {
	return min(1, 4.5/math.Sqrt(float64(n)))
}
