package surface

import "math"

// trend is the plane through the tiles' Lab: L* = at + dx·(x−x̄) + dy·(y−ȳ), and
// the same for a* and b*.
type trend struct {
	x, y     float64 // centroid in cells
	plane    [3]plane
	residual [][3]float64 // one a tile: Lab less the plane
}

type plane struct{ at, dx, dy float64 }

const (
	// huber is where Huber's weights begin to fall, in standard deviations: 95 %
	// as efficient as least squares on normal noise (Huber 1981, from memory).
	huber = 1.345
	// huberRounds is enough for the weights to settle to a percent.
	huberRounds = 4
)

// fitTrend fits the planes, so that a stitch or a stain does not tilt them: the
// weights come from L* and serve all three. An even sample of the tiles is enough
// for three unknowns.
func (s *sheet) fitTrend() trend {
	var tr trend
	n := float64(len(s.tiles))
	for _, t := range s.tiles {
		tr.x, tr.y = tr.x+t.x/n, tr.y+t.y/n
	}
	step := 1 + len(s.tiles)/sampleTiles
	weight := make([]float64, (len(s.tiles)+step-1)/step)
	for i := range weight {
		weight[i] = 1
	}
	for round := range huberRounds {
		if round > 0 {
			s.reweigh(tr, weight, step)
		}
		s.fitPlanes(&tr, weight, step)
	}
	tr.residual = make([][3]float64, len(s.tiles))
	for i, t := range s.tiles {
		for c, l := range [3]float64{t.lab.L, t.lab.A, t.lab.B} {
			tr.residual[i][c] = l - tr.level(c, t)
		}
	}
	return tr
}

// level returns the trend of L*, a* or b* at a tile.
func (tr *trend) level(c int, t tile) float64 {
	p := tr.plane[c]
	return p.at + p.dx*(t.x-tr.x) + p.dy*(t.y-tr.y)
}

// fitPlanes solves the weighted normal equations of every step-th tile.
func (s *sheet) fitPlanes(tr *trend, weight []float64, step int) {
	var w, wx, wy, wxx, wxy, wyy float64
	var v, vx, vy [3]float64
	for i, k := range weight {
		t := &s.tiles[i*step]
		x, y := t.x-tr.x, t.y-tr.y
		w, wx, wy = w+k, wx+k*x, wy+k*y
		wxx, wxy, wyy = wxx+k*x*x, wxy+k*x*y, wyy+k*y*y
		for c, l := range [3]float64{t.lab.L, t.lab.A, t.lab.B} {
			v[c], vx[c], vy[c] = v[c]+k*l, vx[c]+k*x*l, vy[c]+k*y*l
		}
	}
	mx, my := wx/w, wy/w
	sxx, sxy, syy := wxx-w*mx*mx, wxy-w*mx*my, wyy-w*my*my
	det := sxx*syy - sxy*sxy
	for c := range tr.plane {
		px, py := vx[c]-v[c]*mx, vy[c]-v[c]*my
		p := plane{at: v[c] / w}
		// Tiles in one line have no plane; then there is no trend.
		if det > 1e-9*sxx*syy {
			p.dx, p.dy = (px*syy-py*sxy)/det, (py*sxx-px*sxy)/det
		}
		p.at -= p.dx*mx + p.dy*my
		tr.plane[c] = p
	}
}

// reweigh sets Huber's weights from how far L* is off the trend.
func (s *sheet) reweigh(tr trend, weight []float64, step int) {
	for i := range weight {
		t := s.tiles[i*step]
		weight[i] = t.lab.L - tr.level(0, t)
	}
	limit := huber * spread(weight, 0)
	for i, off := range weight {
		weight[i] = 1
		if away := math.Abs(off); away > limit && limit > 0 {
			weight[i] = limit / away
		}
	}
}

// slope returns how much lighter one end of the region is, and towards where.
func (s *sheet) slope(tr trend) (l, deg float64) {
	p := tr.plane[0]
	steep := math.Hypot(p.dx, p.dy)
	if steep == 0 {
		return 0, 0
	}
	ux, uy := p.dx/steep, p.dy/steep
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, t := range s.tiles {
		along := t.x*ux + t.y*uy
		lo, hi = min(lo, along), max(hi, along)
	}
	reach := hi - lo + s.grid.side*(math.Abs(ux)+math.Abs(uy)) // from edge to edge of the tiles
	return steep * reach, math.Mod(math.Atan2(-uy, ux)*180/math.Pi+360, 360)
}
