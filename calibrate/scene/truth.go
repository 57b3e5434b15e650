package scene

import (
	"image"
	"math"

	"evenhide/colour"
)

// Truth is what a rendered photo really shows, worked out from the spectra.
// Colours are CIELAB under D65, 2°, against the perfect diffuser; places are
// pixels of the upright picture.
type Truth struct {
	Width, Height int
	ToPixels      Homography // millimetres on the sheet to pixels
	Items         []ItemTruth
	// Levels holds, for each printed layer, the colour of its 256 greys.
	Levels [][256]colour.Lab `json:",omitempty"`
}

// ItemTruth is the truth about one item.
type ItemTruth struct {
	Name string
	Kind Kind
	// Lab is the mean in linear light over the item's own surface that the photo
	// shows, free of thread, metal and glare; DeltaE its CIEDE2000 difference
	// from the scene's first swatch, 0 when there is none.
	Lab    colour.Lab
	DeltaE float64
	// Dyed is the mean over the same surface with neither burnished edge nor
	// creases, DyedDeltaE its difference from that of the first swatch: the colour
	// of the dyeing, which a reading that keeps off edge and creases is after.
	Dyed       colour.Lab
	DyedDeltaE float64
	// Strength is the nominal dye strength, 0 for what is not dyed.
	Strength float64
	// NominalL is what a grey step is said to be.
	NominalL float64
	// Blotch, Streak and Hide are the RMS ΔE00 of the 1.27 mm tiles from their
	// mean that each cause makes alone, Slope the difference from end to end,
	// and Uneven the RMS of everything together, fine grain included.
	Blotch, Streak, Slope, Hide, Uneven float64
	// Patchy is the RMS ΔE00 of the same tiles that blotch, streaks and hide make
	// together, less the plane through the tiles: what of them runs evenly from
	// one end to the other is slope, whatever made it. Grain, the burnished edge,
	// creases, thread, metal and glare are not in it.
	Patchy float64
	// StreakAngle is the direction of the streaks in the photo, in degrees
	// anticlockwise as seen from its rows, 0..180, at the item's middle.
	StreakAngle float64
	Outline     []Point // in the photo
	// Box is a large upright rectangle of pixels on the item's own surface, a
	// margin away from all else; empty when there is no room. BoxLab is the mean
	// there and BoxDeltaE its difference from the box of the first swatch.
	Box       image.Rectangle
	BoxLab    colour.Lab
	BoxDeltaE float64
}

// Find returns the item of that name, or nil.
func (t *Truth) Find(name string) *ItemTruth {
	for i := range t.Items {
		if t.Items[i].Name == name {
			return &t.Items[i]
		}
	}
	return nil
}

func (s *stage) outlinePixels(b *body) []Point {
	out := make([]Point, len(b.Outline))
	for i, p := range b.Outline {
		out[i] = s.toPixels.At(b.Pose.At(p))
	}
	return out
}

// truth gathers the truth of every item.
func (s *stage) truth() Truth {
	t := Truth{Width: s.Width, Height: s.Height, ToPixels: s.toPixels, Items: make([]ItemTruth, len(s.bodies))}
	var swatch *ItemTruth
	parallel(len(s.bodies), func(i int) { t.Items[i] = s.itemTruth(i, s.bodies[i]) })
	for i := range t.Items {
		if t.Items[i].Kind == Swatch {
			swatch = &t.Items[i]
			break
		}
	}
	for i := range t.Items {
		if it := &t.Items[i]; swatch != nil {
			it.DeltaE = deltaE2000(swatch.Lab, it.Lab)
			it.DyedDeltaE = deltaE2000(swatch.Dyed, it.Dyed)
			if !it.Box.Empty() && !swatch.Box.Empty() {
				it.BoxDeltaE = deltaE2000(swatch.BoxLab, it.BoxLab)
			}
		}
	}
	for _, p := range s.prints {
		var levels [256]colour.Lab
		for v := range levels {
			levels[v] = s.eye.lab(p.levels[v].xyz)
		}
		t.Levels = append(t.Levels, levels)
	}
	return t
}

func (s *stage) itemTruth(index int, b *body) ItemTruth {
	t := ItemTruth{Name: b.Name, Kind: b.Kind, NominalL: b.NominalL, Outline: s.outlinePixels(b)}
	if b.Material.kind == leather && len(b.Material.blend) > 0 {
		t.Strength = b.Material.strength
	}
	seen := func(p Point) (cell, bool) {
		d := b.shape.distance(p)
		if d >= -b.margin() || !s.visible(index, b.Pose.At(p), 0) {
			return cell{}, false
		}
		return b.look(p, d)
	}
	all := b.tiles(tilePoints, seen)
	t.Lab, t.Uneven = toLab(all.mean(), s.eye.white), all.rms(s.eye.white)
	t.Blotch, t.Streak, t.Slope, t.Hide = b.causes(s.eye)
	t.Patchy = s.patchy(index, b)
	t.Dyed = toLab(s.dyeing(index, b).mean(), s.eye.white)
	a := s.toPixels.At(b.Pose.At(Point{}))
	sin, cos := math.Sincos(radians(b.Surface.StreakAngle))
	to := s.toPixels.At(b.Pose.At(Point{cos, sin}))
	t.StreakAngle = math.Mod(hueOf(to.X-a.X, a.Y-to.Y), 180)
	if t.Box = s.box(index, b, t.Outline); !t.Box.Empty() {
		t.BoxLab = s.boxLab(b, t.Box)
	}
	return t
}

// causes returns what each cause of unevenness makes alone.
func (b *body) causes(e *eye) (blotch, streak, slope, hide float64) {
	alone := *b
	alone.blotchBy, alone.streakBy, alone.slopeBy, alone.hideBy = 0, 0, 0, 0
	measure := func(by *float64, value float64) float64 {
		if value == 0 {
			return 0
		}
		*by = value
		defer func() { *by = 0 }()
		return alone.evenness(e, tilePoints)
	}
	blotch = measure(&alone.blotchBy, b.blotchBy)
	streak = measure(&alone.streakBy, b.streakBy)
	hide = measure(&alone.hideBy, b.hideBy)
	if b.slopeBy != 0 {
		slope = b.ends(e)
	}
	return blotch, streak, slope, hide
}

// patchy returns what blotch, streaks and hide make of the item's visible tiles
// together, less their plane.
func (s *stage) patchy(index int, b *body) float64 {
	level := *b
	level.slopeBy = 0
	return s.dyeing(index, &level).offPlane(s.eye.white)
}

// dyeing returns the item's visible tiles as dyed: with neither burnished edge,
// creases, thread, metal nor glare.
func (s *stage) dyeing(index int, b *body) tileSet {
	return b.tiles(tilePoints, func(p Point) (cell, bool) {
		d := b.shape.distance(p)
		if d >= -b.margin() || !s.visible(index, b.Pose.At(p), 0) {
			return cell{}, false
		}
		return b.dyed(p, math.Inf(-1)), true // as far inside as no edge reaches
	})
}

// visible reports whether a place on the sheet is in the picture and not covered
// by an item above the one of that index, both by a margin in mm.
func (s *stage) visible(index int, p Point, margin float64) bool {
	q := s.toPixels.At(p)
	if q.X < 1 || q.Y < 1 || q.X > float64(s.Width)-1 || q.Y > float64(s.Height)-1 {
		return false
	}
	for _, above := range s.bodies[index+1:] {
		if above.shape.distance(above.local(p)) < margin {
			return false
		}
	}
	return true
}

// boxMargin is how far, in mm, a box keeps from the outline and from what is not
// the item's own surface, beyond what the lens blurs.
const boxMargin = 1.2

// box returns the largest rectangle, in steps of a grid over the item's pixels,
// that lies wholly on its own surface by the margin.
func (s *stage) box(index int, b *body, outline []Point) image.Rectangle {
	lo, hi := bounds(outline)
	lo = Point{max(lo.X, 0), max(lo.Y, 0)}
	hi = Point{min(hi.X, float64(s.Width)), min(hi.Y, float64(s.Height))}
	step := max(math.Ceil(max(hi.X-lo.X, hi.Y-lo.Y)/160), 1)
	w, h := int((hi.X-lo.X)/step), int((hi.Y-lo.Y)/step)
	if w < 1 || h < 1 {
		return image.Rectangle{}
	}
	margin := max(b.margin(), boxMargin, s.Camera.Blur*3*s.mmPerPixel)
	free := make([]bool, w*h)
	for i := range free {
		p := s.toMM.At(Point{lo.X + (float64(i%w)+.5)*step, lo.Y + (float64(i/w)+.5)*step})
		free[i] = s.clear(index, b, p, margin)
	}
	r := largest(free, w, h)
	at := func(v int, from float64) int { return int(from + float64(v)*step) }
	if r.Dx() < 3 || r.Dy() < 3 {
		return image.Rectangle{}
	}
	return image.Rect(at(r.Min.X, lo.X)+1, at(r.Min.Y, lo.Y)+1, at(r.Max.X, lo.X)-1, at(r.Max.Y, lo.Y)-1)
}

// clear reports whether p and places around it at the margin are b's own.
func (s *stage) clear(index int, b *body, p Point, margin float64) bool {
	if d := b.shape.distance(b.local(p)); d > -margin || !s.visible(index, p, margin) {
		return false
	}
	for _, off := range [5]Point{{}, {margin, 0}, {-margin, 0}, {0, margin}, {0, -margin}} {
		q := b.local(Point{p.X + off.X, p.Y + off.Y})
		if _, own := b.look(q, b.shape.distance(q)); !own {
			return false
		}
	}
	return true
}

// boxLab returns the mean colour of the item over a box, at about 200×200 places.
func (s *stage) boxLab(b *body, box image.Rectangle) colour.Lab {
	var mean [3]float64
	step := max(1, box.Dx()/200, box.Dy()/200)
	n := 0.0
	for y := box.Min.Y; y < box.Max.Y; y += step {
		for x := box.Min.X; x < box.Max.X; x += step {
			p := b.local(s.toMM.At(Point{float64(x) + .5, float64(y) + .5}))
			c, _ := b.look(p, b.shape.distance(p))
			for i := range mean {
				mean[i] += float64(c.xyz[i])
			}
			n++
		}
	}
	for i := range mean {
		mean[i] /= n
	}
	return toLab(mean, s.eye.white)
}

// largest returns the rectangle of the largest area whose cells are all true,
// by the rising heights of free cells above each row.
func largest(free []bool, w, h int) image.Rectangle {
	heights := make([]int, w+1)
	var best image.Rectangle
	for y := range h {
		var stack []int
		for x := 0; x <= w; x++ {
			if x < w {
				if free[y*w+x] {
					heights[x]++
				} else {
					heights[x] = 0
				}
			}
			for len(stack) > 0 && heights[stack[len(stack)-1]] >= heights[x] {
				tall := heights[stack[len(stack)-1]]
				stack = stack[:len(stack)-1]
				left := 0
				if len(stack) > 0 {
					left = stack[len(stack)-1] + 1
				}
				if tall*(x-left) > best.Dx()*best.Dy() {
					best = image.Rect(left, y-tall+1, x, y+1)
				}
			}
			stack = append(stack, x)
		}
	}
	return best
}
