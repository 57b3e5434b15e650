package scene

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// body is an item made ready to be looked at.
type body struct {
	*Item
	shape          *shape
	table          *table
	cos, sin       float64
	blotch, streak *field
	hide           *field
	// Log strength per unit of each component, and log K/S of the hide.
	blotchBy, streakBy, slopeBy, hideAt, hideBy float64
	slopeX, slopeY, span                        float64 // direction and length of the slope
	grain                                       []float32
	grainAt                                     Point
	seam                                        *seam
	fittings                                    []cell
}

// newBody compiles an item. Its randomness depends on the scene's seed and the
// item's place in the list alone.
func (e *eye) newBody(sc *Scene, index int, grain []float32) (*body, error) {
	it := &sc.Items[index]
	if len(it.Outline) < 3 {
		return nil, fmt.Errorf("scene: item %q has %d corners, 3 or more wanted", it.Name, len(it.Outline))
	}
	rng := rand.New(rand.NewPCG(sc.Seed, 1000+uint64(index)))
	b := &body{Item: it, shape: newShape(it.Outline, it.Holes), table: e.table(it.Material, law(sc)), grain: grain}
	b.sin, b.cos = math.Sincos(radians(it.Pose.Angle))
	b.grainAt = Point{rng.Float64() * 50, rng.Float64() * 50}
	lo, hi := bounds(it.Outline)
	s := &it.Surface
	size := or(s.BlotchSize, 8)
	width := or(s.StreakWidth, 3)
	b.blotch = newField(rng, lo, hi, size, size, 0)
	b.streak = newField(rng, lo, hi, 20*width, width, s.StreakAngle)
	b.hide = newField(rng, lo, hi, 40, 40, 0)
	b.slopeY, b.slopeX = math.Sincos(radians(s.SlopeAngle))
	b.span = math.Abs(b.slopeX)*(hi.X-lo.X) + math.Abs(b.slopeY)*(hi.Y-lo.Y)
	if it.Material.kind == leather {
		perL := 1 / e.hideSlope()
		b.hideAt, b.hideBy = s.HideL*perL, s.HideVariation*perL
		b.settle(e)
	}
	if s.Stitch.Inset > 0 {
		b.seam = newSeam(b.shape, s.Stitch)
		b.seam.thread = e.cell(e.spectra.smooth(s.Stitch.Thread))
	}
	for _, f := range s.Fittings {
		b.fittings = append(b.fittings, e.cell(e.spectra.smooth(f.Metal)))
	}
	return b, nil
}

func law(sc *Scene) float64 { return or(sc.Law, 1) }

func or(v, otherwise float64) float64 {
	if v == 0 {
		return otherwise
	}
	return v
}

// local returns a place on the sheet in the item's frame.
func (b *body) local(p Point) Point {
	x, y := p.X-b.Pose.X, p.Y-b.Pose.Y
	return Point{b.cos*x + b.sin*y, b.cos*y - b.sin*x}
}

// dyed returns the item's colour at p of its frame from strength and hide alone.
func (b *body) dyed(p Point, d float64) cell { return b.wetted(p, d, 0) }

// wetted is dyed with the K/S of dye and hide exp(wet) times as high.
func (b *body) wetted(p Point, d, wet float64) cell {
	if len(b.table.cells) == 1 {
		return b.table.cells[0]
	}
	hide := b.hideAt + wet
	if b.hideBy != 0 {
		hide += b.hideBy * b.hide.at(p)
	}
	if b.table.nF == 1 {
		return b.table.at(0, hide)
	}
	log := wet
	if b.blotchBy != 0 {
		log += b.blotchBy * b.blotch.at(p)
	}
	if b.streakBy != 0 {
		log += b.streakBy * b.streak.at(p)
	}
	if b.slopeBy != 0 {
		log += b.slopeBy * (p.X*b.slopeX + p.Y*b.slopeY) / b.span
	}
	factor := math.Exp(log)
	if edge := b.Surface.Edge; edge > 0 && d > -edge {
		factor *= 1 + 0.8*min(1+d/edge, 1)
	}
	return b.table.at(factor, hide)
}

// look returns what is seen at p of the item's frame, d being its distance from
// the outline, and whether it is the item's own surface, free of thread, metal
// and glare.
func (b *body) look(p Point, d float64) (cell, bool) {
	s := &b.Surface
	wet := 0.0
	for _, w := range s.Damp {
		const rim = 2 // mm over which it dries
		in := (w.Radius-math.Hypot(p.X-w.X, p.Y-w.Y))/rim + .5
		wet += math.Log(w.More) * min(max(in, 0), 1)
	}
	c := b.wetted(p, d, wet)
	relief := 1.0
	if s.Grain != 0 {
		relief += s.Grain * grainAt(b.grain, Point{p.X + b.grainAt.X, p.Y + b.grainAt.Y})
	}
	if s.Crease > 0 {
		relief *= groove(b.shape.inset(p) + s.Crease)
	}
	for _, l := range s.Tooling {
		side := segment{l.From, l.To, 0, math.Hypot(l.To.X-l.From.X, l.To.Y-l.From.Y)}
		near, _ := side.nearest(p)
		relief *= groove(near)
	}
	if relief != 1 {
		c = scaled(c, float32(max(relief, 0)))
	}
	own := true
	if b.seam != nil {
		if t := b.seam.at(p); t > 0 {
			c, own = mix(c, b.seam.thread, t), false
		}
	}
	for i, f := range s.Fittings {
		if r := math.Hypot(p.X-f.X, p.Y-f.Y) / f.Radius; r < 1 {
			lit := 0.55 + 0.35*(p.X-f.X+f.Y-p.Y)/f.Radius + 0.8*math.Exp(-20*(r-0.75)*(r-0.75))
			c, own = scaled(b.fittings[i], float32(max(lit, 0.05))), false
		}
	}
	for _, g := range s.Glare {
		t := ((p.X-g.X)*(p.X-g.X) + (p.Y-g.Y)*(p.Y-g.Y)) / (g.Radius * g.Radius)
		if shine := g.Strength * math.Exp(-2*t); shine > glareSeen {
			for k := range c.raw {
				c.raw[k] += float32(shine)
				c.xyz[k] += float32(shine)
			}
			own = false
		}
	}
	return c, own
}

// glareSeen is the share of white from which on a place counts as shining.
const glareSeen = 0.002

func scaled(c cell, by float32) cell {
	for k := range c.raw {
		c.raw[k] *= by
		c.xyz[k] *= by
	}
	return c
}

// groove returns the light from a tooled line at a distance from its middle, mm:
// darker in it, a little lighter on its far lip.
func groove(d float64) float64 {
	const width = 0.45
	t, lip := d/width, (d-2.2*width)/width
	return 1 - 0.4*math.Exp(-t*t) + 0.08*math.Exp(-lip*lip)
}

// seam is a row of stitches as a grid of coverage.
type seam struct {
	origin Point
	w, h   int
	cover  []float32
	thread cell
}

const (
	seamStep   = 0.2 // mm
	seamThread = 0.8 // mm wide
	seamShare  = 0.72
)

func newSeam(s *shape, st Stitch) *seam {
	m := &seam{origin: s.origin}
	m.w = int(float64(s.w-1)*s.size/seamStep) + 1
	m.h = int(float64(s.h-1)*s.size/seamStep) + 1
	m.cover = make([]float32, m.w*m.h)
	pitch := or(st.Pitch, 3.5)
	for i := range m.cover {
		p := Point{m.origin.X + float64(i%m.w)*seamStep, m.origin.Y + float64(i/m.w)*seamStep}
		off := math.Abs(s.inset(p) + st.Inset)
		if off > 1 {
			continue
		}
		best, along := farAway, 0.0
		for _, side := range s.sides {
			if d, a := side.nearest(p); d < best {
				best, along = d, side.start+a
			}
		}
		phase := math.Abs(math.Mod(along, pitch) - pitch/2) // from the middle of a stitch
		ends := pitch*seamShare/2 - phase
		m.cover[i] = float32(min(max((seamThread/2-off)/seamStep+.5, 0), 1) * min(max(ends/seamStep+.5, 0), 1))
	}
	return m
}

func (m *seam) at(p Point) float32 {
	x, y := (p.X-m.origin.X)/seamStep, (p.Y-m.origin.Y)/seamStep
	if !(x >= 0 && y >= 0 && x < float64(m.w-1) && y < float64(m.h-1)) {
		return 0
	}
	return float32(bilinear(m.cover, m.w, x, y))
}
