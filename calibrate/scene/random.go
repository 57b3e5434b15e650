package scene

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"

	"evenhide/colour"
)

// Disturbance is how far a random scene is from a careful photo.
type Disturbance int

// The levels.
const (
	// Calm is daylight, seen straight down, evenly lit, with a true grey strip, a
	// plain rendering and little noise.
	Calm Disturbance = iota
	// Usual is a phone photo at a bench: any white light but fluorescent, tilted
	// by up to 12°, light that falls off by up to a quarter, greys off by about
	// 0.5 L*, any rendering.
	Usual
	// Hard is a careless one: any light, falling off by up to a half, tilted by
	// up to 35° and turned any way, a hard shadow, glare, fittings, greys off by
	// 2 L*, and dye that does not keep to the proportion of Kubelka-Munk on a hide
	// that varies.
	Hard
)

func (d Disturbance) String() string { return [...]string{"calm", "usual", "hard"}[d] }

// Random returns a scene of 1 to 12 pieces with a swatch, a bare hide and a
// strip of six greys on a white sheet, 3 megapixels, varied by the seed alone.
// Width and Height may be changed in proportion before it is rendered.
func Random(seed uint64, level Disturbance) Scene {
	return random(seed, level, func(d *dice, sc *Scene) (top float64) {
		sc.Items = append(d.strip(), d.references(sc.Sheet)...)
		return 50
	})
}

// Print is a printed card: a picture, and the windows in which a swatch of the
// colour and a bare hide lie.
type Print struct {
	Image        *image.Gray
	MMPerPixel   float64
	Swatch, Hide Window
}

// Window is where something lies on a print, in mm from its top left corner.
type Window struct{ X, Y, W, H float64 }

// RandomOn is Random with a print, wider than it is high, in place of the strip
// of greys, its greys off by about 0.5 L* (Usual) or 2 L* (Hard).
func RandomOn(p Print, seed uint64, level Disturbance) Scene {
	return random(seed, level, func(d *dice, sc *Scene) (top float64) {
		size := p.Image.Rect.Size()
		w, h := float64(size.X)*p.MMPerPixel, float64(size.Y)*p.MMPerPixel
		pose := Pose{X: (sc.Sheet.W - w) / 2, Y: 10, Angle: d.spread(d.by(0, 1, 2))}
		sc.Layers = []Layer{{Image: p.Image, MMPerPixel: p.MMPerPixel, Pose: pose,
			Paper: colour.Lab{L: d.between(92, 96), A: d.spread(.8), B: d.between(-3, 2)}, Error: d.by(0, .5, 2)}}
		for i, it := range d.references(sc.Sheet) {
			at := []Window{p.Swatch, p.Hide}[i]
			it.Outline = Rect(at.W-d.between(0, 2), at.H-d.between(0, 2), 1)
			it.Pose = pose.Then(Pose{X: at.X + at.W/2, Y: at.Y + at.H/2, Angle: d.spread(2)})
			sc.Items = append(sc.Items, it)
		}
		return 18 + h
	})
}

// random draws a scene; lay puts greys, swatch and hide on the sheet and returns
// where the pieces may begin.
func random(seed uint64, level Disturbance, lay func(*dice, *Scene) (top float64)) Scene {
	d := &dice{rand.New(rand.NewPCG(seed, 7)), level}
	sc := Scene{Seed: seed, Width: 2048, Height: 1536, Camera: d.camera()}
	pieces := 1 + d.IntN(12)
	sc.Sheet = Sheet{W: 297, H: 210, Texture: 0.004, Plank: d.between(0, 60),
		Colour: colour.Lab{L: d.between(91, 96), A: d.spread(.8), B: d.between(-3, 2)},
		Bench:  colour.Lab{L: d.between(30, 75), A: d.between(0, 8), B: d.between(0, 18)}}
	if pieces > 2 {
		sc.Sheet.W, sc.Sheet.H = 420, 297
	}
	sc.Light = d.light(sc.Sheet)
	if level != Calm {
		sc.Camera.MatrixLight = pick(MatrixLights(sc.Light.Name), seed)
	}
	if level == Hard {
		sc.Law = d.between(.85, 1)
	}
	top := lay(d, &sc)
	blend, depth := d.colour()
	for i := range sc.Items {
		if it := &sc.Items[i]; it.Kind == Swatch {
			it.Material = Leather(blend, depth)
		}
	}
	sc.Items = append(sc.Items, d.pieces(pieces, sc.Sheet, top, blend, depth)...)
	sc.View = d.view(&sc)
	return sc
}

// In returns the scene in another light, its camera's matrix one that a phone takes
// there.
func (sc Scene) In(light string) Scene {
	sc.Light.Name, sc.Camera.MatrixLight = light, pick(MatrixLights(light), sc.Seed)
	return sc
}

func pick(of []string, seed uint64) string { return of[seed%uint64(len(of))] }

// dice draws what a level allows.
type dice struct {
	*rand.Rand
	level Disturbance
}

func (d *dice) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }
func (d *dice) spread(by float64) float64      { return d.between(-by, by) }
func (d *dice) chance(p float64) bool          { return d.Float64() < p }

// by returns the value for the level.
func (d *dice) by(calm, usual, hard float64) float64 { return [...]float64{calm, usual, hard}[d.level] }

func (d *dice) camera() Camera {
	c := Camera{Sensor: IMX219, Exposure: -.3, Blur: .6, Shot: 2e-5, Read: .0005}
	if d.level == Calm {
		return c
	}
	c.Sensor = Cameras()[d.IntN(3)]
	c.WhiteBalance = [2]float64{d.spread(d.by(0, .05, .12)), d.spread(d.by(0, .05, .12))}
	c.Exposure = d.between(d.by(0, -.8, -1.3), d.by(0, -.35, -.1))
	c.Blur = d.between(.5, d.by(1, 1.2, 2))
	c.Vignette = d.between(0, d.by(0, .2, .3))
	c.Flare = d.between(0, d.by(0, .01, .02))
	// Even patches of photos by two phones, 3 megapixels, scatter by 1.1 to 2.0
	// codes from black to white: 1e-4 to 1.4e-4, and next to nothing at black.
	c.Shot, c.Read = d.between(2e-5, d.by(0, 1.4e-4, 3e-4)), d.between(.0003, d.by(0, .0006, .0015))
	c.Tone = Tone(d.IntN(3))
	c.P3 = d.chance(.5)
	return c
}

func (d *dice) light(sheet Sheet) Lighting {
	if d.level == Calm {
		return Lighting{}
	}
	names := []string{D65, D50, NeutralLED, WarmLED, Tungsten}
	if d.level == Hard {
		names = Lights()
	}
	l := Lighting{Name: names[d.IntN(len(names))],
		Lamp: Point{d.between(-400, 800), d.between(-700, 300)}, Height: d.between(300, 900),
		Shadow: d.between(.1, .5), Angle: d.between(0, 180), ShadowLength: d.between(.3, 2), ShadowBlur: d.between(1, 5)}
	for limit := d.between(1.03, d.by(0, 1.35, 1.8)); l.falloff(sheet) > limit; {
		l.Lamp.X, l.Lamp.Y, l.Height = l.Lamp.X*1.1, l.Lamp.Y*1.1, l.Height*1.1
	}
	if d.level == Hard && d.chance(.4) {
		l.Edge = ShadowEdge{Depth: d.between(.1, .4), Angle: d.between(0, 90), Offset: d.between(150, 350), Width: d.between(1, 30)}
	}
	return l
}

// falloff returns how many times brighter the brightest of the sheet's corners
// and middle is than the dimmest.
func (l Lighting) falloff(sheet Sheet) float64 {
	s := shade{Lighting: l}
	least, most := math.Inf(1), 0.0
	for _, p := range []Point{{0, 0}, {sheet.W, 0}, {0, sheet.H}, {sheet.W, sheet.H}, {sheet.W / 2, sheet.H / 2}} {
		light := s.fromLamp(p)
		least, most = min(least, light), max(most, light)
	}
	return most / least
}

// strip returns six greys side by side on a card.
func (d *dice) strip() []Item {
	out := []Item{{Name: "strip", Kind: Other, Outline: Rect(122, 28, 0), Pose: Pose{X: 71, Y: 24},
		Material: Plain(colour.Lab{L: 93, A: .2, B: d.spread(1.5)})}}
	miss := d.by(0, .5, 2)
	for i, l := range []float64{90, 76, 62, 48, 35, 24} {
		truth := colour.Lab{L: l + d.spread(miss), A: d.spread(miss / 2), B: d.spread(miss / 2)}
		out = append(out, Item{Name: fmt.Sprintf("grey %.0f", l), Kind: Step, Outline: Rect(19, 24, 0),
			Pose: Pose{X: 21 + 20*float64(i), Y: 24}, Material: Plain(truth), NominalL: l})
	}
	return out
}

// references returns swatch and hide, right of the strip.
func (d *dice) references(sheet Sheet) []Item {
	grain := d.between(.01, .06)
	at := Pose{Y: 26, X: 170}
	return []Item{
		{Name: "swatch", Kind: Swatch, Outline: Rect(46, 32, 2), Lift: 1.5, Surface: Surface{Grain: grain, Blotch: d.between(.1, .5)},
			Pose: at.Then(Pose{Angle: d.spread(4)})},
		{Name: "hide", Kind: Hide, Outline: Rect(46, 32, 2), Lift: 1.5, Material: BareHide(),
			Surface: Surface{Grain: grain, HideVariation: d.by(0, .3, .8)}, Pose: at.Then(Pose{X: 60, Angle: d.spread(4)})},
	}
}

// colour returns a blend of one or two dyes and its reference depth.
func (d *dice) colour() (Blend, float64) {
	dyes := Dyes()
	b := Blend{{dyes[d.IntN(len(dyes))], 1}}
	if d.chance(.4) {
		b[0].Amount = d.between(.5, .9)
		b = append(b, Part{dyes[d.IntN(len(dyes))], 1 - b[0].Amount})
	}
	return b, d.between(.6, 1.5)
}

// pieces lays n pieces of about the reference colour out in a grid below top.
func (d *dice) pieces(n int, sheet Sheet, top float64, blend Blend, depth float64) []Item {
	cols := []int{0, 1, 1, 2, 2, 3, 3, 3, 3, 3, 4, 4, 4}[n]
	rows := (n + cols - 1) / cols
	w, h := (sheet.W-10)/float64(cols), (sheet.H-top-5)/float64(rows)
	var out []Item
	for i := range n {
		at := Pose{5 + w*(float64(i%cols)+.5), top + h*(float64(i/cols)+.5), d.spread(3)}
		it := Item{Name: fmt.Sprintf("piece %d", i+1), Kind: Piece, Pose: at, Lift: d.between(1, 3), Surface: d.surface(min(w, h))}
		d.outline(&it, .84*w, .78*h)
		mine := blend
		if d.chance(.25) { // a drop of something else in the bottle
			dyes := Dyes()
			mine = append(append(Blend{}, blend...), Part{dyes[d.IntN(len(dyes))], d.between(.03, .15)})
		}
		it.Material = Leather(mine, depth*d.between(.65, 1.3))
		out = append(out, it)
	}
	return out
}

func (d *dice) outline(it *Item, w, h float64) {
	switch d.IntN(4) {
	case 0:
		it.Outline = Strip(w, min(h, 40))
	case 1:
		it.Outline = Fob(w, h)
		it.Holes = []Circle{{Point{-.38 * w, 0}, 2.5}}
	case 2:
		it.Outline = Rect(w, h, d.between(3, 12))
		it.Surface.Stitch = Stitch{Inset: 4, Thread: colour.Lab{L: d.between(20, 90), A: 1, B: 8}}
	default:
		it.Outline = Rect(w, h, 1)
	}
	if d.level == Hard && d.chance(.3) {
		it.Surface.Fittings = []Fitting{{Circle{Point{.3 * w, -.2 * h}, 4}, colour.Lab{L: 70, A: 3, B: 22}}}
	}
	if d.level == Hard && d.chance(.3) {
		it.Surface.Glare = []Glare{{Circle{Point{.1 * w, .1 * h}, d.between(3, 8)}, d.between(.1, .8)}}
	}
}

func (d *dice) surface(size float64) Surface {
	s := Surface{Grain: d.between(.01, .06), Blotch: d.between(.1, .7), BlotchSize: d.between(4, 14),
		StreakAngle: d.between(0, 180), SlopeAngle: d.between(0, 360), Edge: d.between(0, 1.5)}
	if d.chance(.25) {
		s.Blotch = d.between(1, 3)
	}
	if d.chance(.25) {
		s.Streak, s.StreakWidth = d.between(.5, 2), d.between(2, 5)
	}
	if d.chance(.25) {
		s.Slope = d.between(.5, 3)
	}
	if d.level == Hard {
		s.HideL, s.HideVariation = d.spread(3), d.between(0, 2)
	}
	if d.chance(.3) && size > 40 {
		s.Crease = d.between(2, 3)
	}
	return s
}

// view looks at the middle of the sheet from as near as shows every item and
// print.
func (d *dice) view(sc *Scene) View {
	out := *sc
	out.View = View{Centre: Point{sc.Sheet.W / 2, sc.Sheet.H / 2}, Across: sc.Sheet.W, Tilt: d.between(0, d.by(0, 12, 35)),
		Direction: d.between(0, 360), Rotation: d.spread(d.by(0, 4, 180))}
	return out.Framed().View
}

// Framed returns the scene seen from farther away, up to four times, until every
// item and print lies in the picture.
func (sc Scene) Framed() Scene {
	const farther = 1.04
	for most := 4 * sc.View.Across; !sc.holdsItems() && sc.View.Across*farther < most; {
		sc.View.Across *= farther
	}
	return sc
}

// holdsItems reports whether every item and print lies in the picture, a little
// inside.
func (sc *Scene) holdsItems() bool {
	h, err := sc.homography()
	if err != nil {
		return false
	}
	w, t := float64(sc.Width), float64(sc.Height)
	inside := func(p Point) bool {
		q := h.At(p)
		return q.X >= .01*w && q.X <= .99*w && q.Y >= .01*t && q.Y <= .99*t
	}
	for _, it := range sc.Items {
		for _, p := range it.Outline {
			if !inside(it.Pose.At(p)) {
				return false
			}
		}
	}
	for _, l := range sc.Layers {
		size := l.Image.Rect.Size()
		w, h := float64(size.X)*l.MMPerPixel, float64(size.Y)*l.MMPerPixel
		for _, p := range []Point{{0, 0}, {w, 0}, {w, h}, {0, h}} {
			if !inside(l.Pose.At(p)) {
				return false
			}
		}
	}
	return true
}
