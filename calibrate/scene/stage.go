package scene

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"evenhide/colour"
)

// stage is a scene compiled for one camera under one light.
type stage struct {
	*Scene
	eye          *eye
	toPixels     Homography
	toMM         Homography
	mmPerPixel   float64 // in the middle of the picture
	prints       []*print
	bodies       []*body
	shade        *shade
	paper, bench cell
	grain        []float32
}

const maxPixels = 100_000_000

func newStage(sc *Scene, spectra *Spectra) (*stage, error) {
	if sc.Width < 16 || sc.Height < 16 || sc.Width > maxPixels/sc.Height {
		return nil, fmt.Errorf("scene: picture of %d×%d; 16×16 to %d pixels wanted", sc.Width, sc.Height, maxPixels)
	}
	e, err := spectra.newEye(sc.Camera.Sensor, sc.Light.Name, sc.Camera.MatrixLight)
	if err != nil {
		return nil, err
	}
	s := &stage{Scene: sc, eye: e, grain: newGrain(rand.New(rand.NewPCG(sc.Seed, 1)))}
	if s.toPixels, err = sc.homography(); err != nil {
		return nil, err
	}
	inverse, ok := colour.Matrix(s.toPixels).Inverse()
	if !ok {
		return nil, fmt.Errorf("scene: the view sees the sheet edge-on")
	}
	s.toMM = Homography(inverse)
	s.mmPerPixel = or(sc.View.Across, sc.Sheet.W) / float64(sc.Width)
	s.paper, s.bench = e.plainOr(sc.Sheet.Colour, colour.Lab{L: 100}), e.plainOr(sc.Sheet.Bench, colour.Lab{L: 52, A: 8, B: 20})
	for i := range sc.Layers {
		p, err := e.newPrint(sc, i)
		if err != nil {
			return nil, err
		}
		s.prints = append(s.prints, p)
	}
	s.bodies = make([]*body, len(sc.Items))
	failed := make([]error, len(sc.Items))
	parallel(len(sc.Items), func(i int) { s.bodies[i], failed[i] = e.newBody(sc, i, s.grain) })
	if err := errors.Join(failed...); err != nil {
		return nil, err
	}
	w, h := float64(sc.Width), float64(sc.Height)
	lo, hi := bounds([]Point{s.toMM.At(Point{0, 0}), s.toMM.At(Point{w, 0}), s.toMM.At(Point{0, h}), s.toMM.At(Point{w, h})})
	s.shade = newShade(sc, s.bodies, lo, hi)
	return s, nil
}

func (e *eye) plainOr(c, otherwise colour.Lab) cell {
	if c == (colour.Lab{}) {
		c = otherwise
	}
	if c == (colour.Lab{L: 100}) {
		return e.table(Material{}, 1).cells[0]
	}
	return e.cell(e.spectra.smooth(c))
}

// ground returns what lies under everything at a place: sheet or bench, the
// sheet's edge soft over one pixel.
func (s *stage) ground(p Point) cell {
	sh := &s.Sheet
	cover := 1.0
	if sh.W > 0 {
		outside := max(-p.X, p.X-sh.W, -p.Y, p.Y-sh.H)
		cover = min(max(0.5-outside/s.mmPerPixel, 0), 1)
	}
	if cover == 0 {
		return s.wood(p)
	}
	paper := s.paper
	if sh.Texture != 0 {
		paper = scaled(paper, float32(1+sh.Texture*grainAt(s.grain, Point{p.Y * 0.4, p.X * 0.4})))
	}
	if cover < 1 {
		return mix(s.wood(p), paper, float32(cover))
	}
	return paper
}

// wood returns the bench: planks of differing lightness with dark gaps, and a
// grain along them.
func (s *stage) wood(p Point) cell {
	light := 1 + 0.05*grainAt(s.grain, Point{p.X / 12, p.Y})
	if plank := s.Sheet.Plank; plank > 0 {
		n := math.Floor(p.Y / plank)
		light *= 1 + 0.12*math.Sin(n*2.4)
		if p.Y-n*plank < 0.8 {
			light *= 0.4
		}
	}
	return scaled(s.bench, float32(light))
}

// ray returns what the camera sees at a place on the sheet, bodies being those
// that may lie there, lit, before the lens: light in the raw channels.
func (s *stage) ray(p Point, bodies []*body) [3]float32 {
	light, left := s.shade.at(p)
	c := s.ground(p)
	for _, pr := range s.prints {
		if printed, ok := pr.at(p); ok {
			c = printed
		}
	}
	for _, b := range bodies {
		q := b.local(p)
		if math.Abs(q.X) > b.shape.extent+1 || math.Abs(q.Y) > b.shape.extent+1 {
			continue
		}
		d := b.shape.distance(q)
		cover := min(max(0.5-d/s.mmPerPixel, 0), 1) // soft over one pixel
		if cover == 0 {
			continue
		}
		mine, _ := b.look(q, d)
		c = mix(c, mine, float32(cover))
		if b.Lift > 0 {
			left += (1 - left) * cover
		}
	}
	k := float32(light * left)
	return [3]float32{c.raw[0] * k, c.raw[1] * k, c.raw[2] * k}
}
