package surface

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Streaks are looked for in the structure tensor (Bigün and Granlund 1987, from
// memory) of L* less its trend and bow, at three sizes: tiles, and squares of 2×2 and 4×4
// tiles, because wide and faint streaks drown in the noise of single tiles. The
// size that stands furthest above its limit is reported.
const (
	streakSizes = 3
	// shortLeast and gradientsLeast are how many squares a size must have along
	// the short side, and how many gradients, to be looked at.
	shortLeast, gradientsLeast = 5, 12
	// once is the chance, over all sizes, that a surface without direction is
	// called streaky; each size gets its third of it (Bonferroni). Simulated, it
	// is 2 to 5 % for white noise and up to 8 % for blotches under white noise.
	once = 0.05
	// steepLeast is the root mean square gradient, in L* a tile, below which
	// a surface has no direction: hundredths of what an eye sees, and above the
	// rounding of the field's numbers.
	steepLeast = 0.01
	// bowTerms are those of a surface of second order; one that the tiles fix
	// no better than bowCondition (a strip one tile wide) is not taken off.
	bowTerms, bowCondition = 6, 1e10
)

// levels is a map of L* less its trend: NaN where there is no tile.
type levels struct {
	w, h int
	l    []float64
}

// levels returns the tiles' L* less a surface of second order. Light that falls
// off and leather that curves leave a bow when their slope is taken off, which is
// all in one direction and is no streak.
func (s *sheet) levels(tr trend) levels {
	cols, rows := s.grid.size()
	m := levels{cols, rows, make([]float64, cols*rows)}
	for i := range m.l {
		m.l[i] = math.NaN()
	}
	reach := s.grid.side * float64(max(cols, rows))
	terms := func(t tile) [bowTerms]float64 {
		x, y := (t.x-tr.x)/reach, (t.y-tr.y)/reach
		return [bowTerms]float64{1, x, y, x*x - y*y, x * y, x*x + y*y}
	}
	var normal [bowTerms * bowTerms]float64
	var right [bowTerms]float64
	for i, t := range s.tiles {
		v := terms(t)
		for j := range v {
			for k := j; k < bowTerms; k++ { // the upper triangle is all that is read
				normal[j*bowTerms+k] += v[j] * v[k]
			}
			right[j] += v[j] * tr.residual[i][0]
		}
	}
	var bow [bowTerms]float64
	var chol mat.Cholesky
	if chol.Factorize(mat.NewSymDense(bowTerms, normal[:])) && chol.Cond() < bowCondition {
		if x := mat.NewVecDense(bowTerms, bow[:]); chol.SolveVecTo(x, mat.NewVecDense(bowTerms, right[:])) != nil {
			bow = [bowTerms]float64{}
		}
	}
	for i, t := range s.tiles {
		l := tr.residual[i][0]
		for j, v := range terms(t) {
			l -= bow[j] * v
		}
		m.l[t.row*cols+t.col] = l
	}
	return m
}

// streaks sets the reading's streak figures.
func (m levels) streaks(rd *Reading) {
	best := math.Inf(-1)
	rd.StreakLimit = 1
	t := m.tensor()
	for range streakSizes {
		if min(m.w, m.h) < shortLeast || t.n < gradientsLeast || t.sum[2] < steepLeast*steepLeast*t.n {
			break
		}
		m = m.half()
		half := m.tensor()
		c, deg := t.coherence()
		limit := t.limit(half)
		if c/limit > best {
			best = c / limit
			rd.StreakCoherence, rd.StreakDeg, rd.StreakLimit = c, deg, limit
		}
		t = half
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

// tensor is the structure tensor of a map: the sums of gx²−gy², 2·gx·gy and
// gx²+gy² over its gradients, with y upwards, in blocks.
type tensor struct {
	blocks [][3]float64
	sum    [3]float64
	n      float64 // gradients
	bend   float64 // sum of squared Laplacians
}

// blocksShort is how many blocks span the short side, and blocksMost how many
// there are about at most; a block must hold whole blotches to be independent.
const blocksShort, blocksMost = 4, 36

// tensor returns the map's tensor. The gradient is Scharr's, whose direction is
// true to half a degree for waves of four tiles or more. It is taken only where
// all nine tiles are there, so that both its parts or neither is known and no
// edge or hole adds a direction of its own.
func (m levels) tensor() (t tensor) {
	if m.w < 3 || m.h < 3 {
		return t
	}
	side := max(1, min(m.w, m.h)/blocksShort, int(math.Sqrt(float64(m.w*m.h)/blocksMost)))
	wide := (m.w + side - 1) / side
	t.blocks = make([][3]float64, wide*((m.h+side-1)/side))
	for y := 1; y+1 < m.h; y++ {
		for x := 1; x+1 < m.w; x++ {
			up, mid, low := m.l[(y-1)*m.w+x-1:][:3], m.l[y*m.w+x-1:][:3], m.l[(y+1)*m.w+x-1:][:3]
			gx := (3*(up[2]-up[0]+low[2]-low[0]) + 10*(mid[2]-mid[0])) / 32
			gy := (3*(up[0]-low[0]+up[2]-low[2]) + 10*(up[1]-low[1])) / 32
			bend := up[1] + low[1] + mid[0] + mid[2] - 4*mid[1]
			v := [3]float64{gx*gx - gy*gy, 2 * gx * gy, gx*gx + gy*gy}
			if math.IsNaN(v[2] + bend) {
				continue
			}
			b := &t.blocks[y/side*wide+x/side]
			for i := range v {
				b[i], t.sum[i] = b[i]+v[i], t.sum[i]+v[i]
			}
			t.n, t.bend = t.n+1, t.bend+bend*bend
		}
	}
	return t
}

// coherence returns (λ1−λ2)/(λ1+λ2) and the direction across the gradients, in
// degrees 0..180, anticlockwise from horizontal.
func (t tensor) coherence() (c, deg float64) {
	across := math.Atan2(t.sum[1], t.sum[0]) / 2
	return math.Hypot(t.sum[0], t.sum[1]) / t.sum[2], math.Mod(across*180/math.Pi+90+180, 180)
}

// limit returns the coherence that a surface without direction exceeds once in
// sixty: the larger of what the number of independent gradients allows, and what
// the scatter of the blocks does. half is the tensor at half the size.
func (t tensor) limit(half tensor) float64 {
	return min(1, max(t.countLimit(half), t.scatterLimit()))
}

// countLimit is the limit for normal noise. The sums of gx²−gy² and 2·gx·gy over
// k independent gradients each have variance 1/k of the square of that of
// gx²+gy², so that the coherence exceeds √(2·ln 60/k) once in sixty. The
// constant that makes it true of few gradients is fitted to simulated noise of
// 12 to 4500 gradients.
func (t tensor) countLimit(half tensor) float64 {
	const few = 7
	independent := min(t.n/t.smoothArea(), t.mixed(half))
	return math.Sqrt(2 * math.Log(streakSizes/once) / (independent + few))
}

// smoothArea returns how many tiles one independent gradient takes if the
// surface has one scale. For correlation exp(−r²/2ℓ²) that is the integral of
// the gradient's squared correlation, ¾πℓ², and the mean squares of gradient and
// Laplacian are as ℓ²/4. For white noise, where they are as 0.023, Scharr's
// gradient shares tiles with its neighbours and takes 1.5, by simulation.
func (t tensor) smoothArea() float64 { return 1.30 + 3*math.Pi*t.sum[2]/t.bend }

// mixed returns the number of independent gradients of a smooth surface under
// white noise, where the Laplacian is mostly noise. Halving the map divides the
// noise by 4 and multiplies the gradient of what is smooth by 4 and its Laplacian
// by 16, all in mean squares; so the two maps tell the smooth part's scale and its
// share of the gradients. The areas combine by the squares of the shares. Noise
// leaves the scale uncertain and the surface of second order that was taken off
// leaves long and narrow pieces more of one direction than of the other: both are
// made up for by factors fitted to simulated blotches of 3 to 16 tiles under noise.
func (t tensor) mixed(half tensor) float64 {
	if half.n == 0 || half.bend == 0 {
		return t.n
	}
	const uncertain, bow = 2.5, 5
	smooth := (half.sum[2]/half.n - t.sum[2]/t.n/4) / 3.75 // mean square gradient
	curved := (half.bend/half.n - t.bend/t.n/4) / 15.75    // mean square Laplacian
	share := min(max(smooth/(t.sum[2]/t.n), 0), 1)
	area := t.n
	if curved > 0 {
		area = min(area, uncertain*3*math.Pi*max(smooth, 0)/curved)
	}
	return max(0, t.n/(share*share*area+(1-share*share)*1.5)-bow*share)
}

// scatterLimit is the limit for a surface whose blocks scatter as these do, along
// the direction found (Hotelling's T² with two components).
func (t tensor) scatterLimit() float64 {
	ratio := [2]float64{t.sum[0] / t.sum[2], t.sum[1] / t.sum[2]}
	c := math.Hypot(ratio[0], ratio[1])
	var along, blocks float64
	for _, b := range t.blocks {
		if b[2] > 0 && c > 0 {
			u := ((b[0]-ratio[0]*b[2])*ratio[0] + (b[1]-ratio[1]*b[2])*ratio[1]) / c
			along += u * u
			blocks++
		}
	}
	if blocks <= 3 {
		return 1
	}
	free := blocks - 2
	f := free / 2 * (math.Pow(once/streakSizes, -2/free) - 1) // upper point of F(2, free)
	return math.Sqrt(2*f*blocks/free*along) / t.sum[2]
}
