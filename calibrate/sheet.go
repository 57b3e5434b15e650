package calibrate

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

// ErrSheet is the kind of every refusal over the sheet.
var ErrSheet = errors.New("no usable sheet")

// Sheet is the plain paper under everything, and the light on it.
type Sheet struct {
	Light *Light // relative to the sheet's middle
	// Colour is the developed colour of the sheet at its middle, in the light there.
	Colour colour.LinearRGB
	// Share is how much of the photo shows bare sheet, 0..1.
	Share float64
	// Scatter is the standard deviation of the flattened sheet, as a fraction of
	// its luminance, over areas of about a hundredth of the photo.
	Scatter  float64
	Warnings []string // in plain words, for the person with the phone

	n       *nodes
	cards   []Polygon
	card    []bool // nodes of the card and a margin
	bare    []bool // nodes that show the sheet in full light
	hull    []bool // nodes within the sheet's convex outline
	dim     []bool // nodes of the sheet in a wide shadow
	outline Polygon
	guesses [][]bool     // at the bare nodes, from the narrowest to the widest
	off     [][3]float32 // log light less that of the sheet there
	// level and tint are how far bare sheet may be from its surface.
	level, tint float32
	brighter    float64 // level of the brighter part of all bare nodes
}

// What makes a sheet, in nodes' log light unless said otherwise.
const (
	leastShare   = 0.006 // of the photo, well inside the bare sheet: less says nothing of the light elsewhere
	leastProbes  = 100   // nodes
	leastLevel   = 0.025 // bare sheet may be this far from its surface: paper's texture and creases
	leastTint    = 0.045 // and its tint this far: the steps of JPEG's chroma make blocks of 3 %
	mostLevel    = 0.12  // however noisy the photo
	blockNodes   = 16    // side of the blocks over which misfit is taken
	mostTintLamp = 0.20  // log ratio of channels that changes over the sheet in one lamp's light: phones' lenses alone made 0.07 to 0.16
	mostShade    = 0.05  // share of the sheet in shadow that is no matter of pieces' edges
)

// FindSheet finds the sheet in f and fits the light on it. develop is the tone
// curve, in the photo's own primaries: from what the camera wrote to light of the
// scene, greys neutral, the light's unevenness still in it; it must treat each
// channel alone. card are
// outlines, in cells, known not to be sheet and known to lie on it; without any the
// sheet is the largest bright, smooth, nearly neutral area.
//
// The sheet need not fill the photo nor be white: off-white and light grey will do,
// for only the ratios on it count. Shadows, print and creases have no say where
// they cover less than about a third of it. An error is of kind ErrSheet; the light
// must then be taken from elsewhere, or for even.
func FindSheet(f *colour.Field, develop func(colour.LinearRGB) colour.LinearRGB, card []Polygon) (*Sheet, error) {
	s := &Sheet{n: newNodes(f, develop).quiet()}
	s.cards, s.card = card, s.n.inside(card, 1)
	labels, err := s.seed(card)
	if err != nil {
		return nil, err
	}
	if err := s.start(); err != nil {
		return nil, err
	}
	s.join()
	for range 2 { // the surface reaches further with each round, and sheet that it had not met joins
		if s.Light, err = s.n.fit(s.bare, mostProbes, false); err != nil {
			return nil, err
		}
		s.flatten()
		before := slices.Clone(s.bare)
		if s.join(); s.settled(before) {
			break
		}
	}
	s.reachIntoShade(labels)
	s.dim = s.dimmed()
	s.describe()
	return s, nil
}

// Redevelop fits the light again with another tone curve, where the same nodes show
// the sheet.
func (s *Sheet) Redevelop(develop func(colour.LinearRGB) colour.LinearRGB) error {
	s.n.redevelop(develop)
	light, err := s.n.fit(s.bare, mostProbes, false)
	if err != nil {
		return err
	}
	s.Light = light
	s.flatten()
	s.dim = s.dimmed()
	s.describe()
	return nil
}

// start fits the light to each guess and keeps the one that the most nodes agree
// with. A crease or a strap may part the sheet and a pale piece or a shadow be taken
// for it: neither the narrowest nor the widest guess is always right.
func (s *Sheet) start() error {
	widest := s.guesses[len(s.guesses)-1]
	lights, agree, errs := make([]*Light, len(s.guesses)), make([]int, len(s.guesses)), make([]error, len(s.guesses))
	inBands(len(s.guesses), func(from, to int) {
		for i := from; i < to; i++ { // they are only compared: few probes will do
			if lights[i], errs[i] = s.n.fit(s.guesses[i], mostProbes/4, true); errs[i] == nil && s.n.credible(lights[i], s.guesses[i]) {
				agree[i] = s.n.agree(lights[i], widest)
			}
		}
	})
	best := slices.Index(agree, slices.Max(agree))
	if agree[best] == 0 {
		return cmp.Or(append(errs, refuseSmall(0))...)
	}
	s.Light, s.bare, s.guesses = lights[best], widest, nil
	s.flatten()
	return nil
}

// settled reports whether so few nodes have joined or left that their light is the same.
func (s *Sheet) settled(before []bool) bool {
	const most = .005 // of the bare nodes
	changed, bare := 0, 0
	for i, is := range s.bare {
		if is {
			bare++
		}
		if is != before[i] {
			changed++
		}
	}
	return float64(changed) <= most*float64(bare)
}

// few of the nodes, about evenly strewn, tell what share of them all something holds for.
const few = 7

// agree returns how many of a few nodes are as light as the light on them says.
func (n *nodes) agree(l *Light, bare []bool) (count int) {
	const agrees = .03 // log light, about twice what creases and lenses leave
	for i := 0; i < len(bare); i += few {
		if bare[i] {
			c := l.log(n.place(i))
			off := n.log[i]
			for k := range off {
				off[k] -= float32(c[k])
			}
			if level, _ := levelTint(off); level < agrees && level > -agrees {
				count++
			}
		}
	}
	return count
}

// credible reports whether the light on the bare nodes varies by no more than it does
// on a sheet: more, and sheet and bench were taken for one.
func (n *nodes) credible(l *Light, bare []bool) bool {
	const mostRange = 1.6 // log light: five times as bright at one end as at the other
	least, most := math.Inf(1), math.Inf(-1)
	for i := 0; i < len(bare); i += few {
		if bare[i] {
			g := l.channels[1].dot(l.terms(n.place(i)))
			least, most = min(least, g), max(most, g)
		}
	}
	return most-least < mostRange
}

// quiet returns nodes large enough that noise does not drown the sheet.
func (n *nodes) quiet() *nodes {
	const mostNoise, leastAcross = .03, 60 // log light; nodes
	for loudest(n.noise) > mostNoise && min(n.w, n.h) > 2*leastAcross {
		n = n.coarser()
	}
	return n
}

func loudest(noise [3]float64) float64 { return max(noise[0], noise[1], noise[2]) }

// fit fits the light to the bare nodes, an evenly drawn sample of about so many;
// first says that no fit has chosen them.
func (n *nodes) fit(bare []bool, most int, first bool) (*Light, error) {
	inner := n.shrunk(bare, 1)
	count := 0
	for _, in := range inner {
		if in {
			count++
		}
	}
	share := float64(count) / float64(len(inner))
	if count < leastProbes || share < leastShare {
		return nil, refuseSmall(share)
	}
	step := max(1, int(math.Sqrt(float64(count)/float64(most))+.5))
	probes := make([]probe, 0, count/(step*step)+n.w)
	blocks := (n.w + blockNodes - 1) / blockNodes
	for y := 0; y < n.h; y += step {
		for x := y / step % step; x < n.w; x += step {
			if i := y*n.w + x; inner[i] {
				p := probe{at: n.place(i), block: y/blockNodes*blocks + x/blockNodes}
				own := n.own(n.mean[i])
				for k, v := range n.log[i] {
					p.log[k], p.written[k] = float64(v), math.Log(max(float64(own[k]), darkest))
				}
				probes = append(probes, p)
			}
		}
	}
	side := float64(n.side)
	centre := Point{float64(n.w) * side / 2, float64(n.h) * side / 2}
	light, ok := fitLight(probes, centre, max(centre.X, centre.Y), first)
	if !ok {
		return nil, refuseSmall(share)
	}
	light.reach = blockNodes * side
	return light, nil
}

func refuseSmall(share float64) error {
	percent := "under 1 %"
	if share >= .01 {
		percent = fmt.Sprintf("%.0f %%", 100*share)
	}
	return refusal.New(ErrSheet, "lay everything on a plain white sheet that fills most of the photo",
		"too little of a plain sheet is seen to know the light: %s of the photo", percent)
}

// describe fills in what is told of the sheet.
func (s *Sheet) describe() {
	n := s.n
	var sum [3]float64
	var centre Point
	count, bare := 0.0, 0.0
	least, most := math.Inf(1), math.Inf(-1)
	tintLeast, tintMost := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i, in := range s.bare {
		if !in {
			continue
		}
		p := n.place(i)
		bare++
		centre.X, centre.Y = centre.X+p.X, centre.Y+p.Y
		if int(bare)%16 != 0 {
			continue
		}
		c := s.Light.log(p)
		level := .2126*c[0] + .7152*c[1] + .0722*c[2]
		least, most = min(least, level), max(most, level)
		for j, t := range [2]float64{c[0] - c[1], c[2] - c[1]} {
			tintLeast[j], tintMost[j] = min(tintLeast[j], t), max(tintMost[j], t)
		}
		for k, v := range s.off[i] {
			sum[k] += float64(v)
		}
		count++
	}
	s.Share, s.Warnings = bare/float64(len(s.bare)), nil
	s.Light = s.Light.RelativeTo(centre.X/bare, centre.Y/bare)
	s.Light.uneven = math.Exp(most-least) - 1
	s.Scatter = s.Light.misfit
	c := s.Light.log(s.Light.reference)
	s.Colour = colour.LinearRGB{R: math.Exp(c[0]), G: math.Exp(c[1]), B: math.Exp(c[2])}
	if change := max(tintMost[0]-tintLeast[0], tintMost[1]-tintLeast[1]); change > mostTintLamp {
		s.Warnings = append(s.Warnings, fmt.Sprintf(
			"mixed light: its colour changes by %.0f %% over the sheet", 100*math.Expm1(change)))
	}
	if shade := s.shade(); shade > mostShade {
		s.Warnings = append(s.Warnings, fmt.Sprintf("a shadow lies over %.0f %% of the sheet", 100*shade))
	}
}

// log returns the surfaces' own log light at p, not relative to any place.
func (l *Light) log(p Point) [3]float64 {
	t := l.terms(p)
	return [3]float64{l.channels[0].dot(t), l.channels[1].dot(t), l.channels[2].dot(t)}
}
