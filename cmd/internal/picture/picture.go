// Package picture draws what a check saw on top of the photo: the upright,
// developed photo with each piece's outline, number and verdict in words, the
// card with its steps and windows, the patches, and what was left out. No
// verdict is told by colour alone: each has its word and its own line.
package picture

import (
	"image"

	"evenhide/colour"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// Kind is what a mark stands for.
type Kind int

// The kinds of mark. A zone is a named part of a piece.
const (
	Piece Kind = iota
	Zone
	Window
	Step
	Card
)

// Mark is one outlined thing in the photo.
type Mark struct {
	Kind    Kind
	Outline []surface.Corner // in cells of the field, without repeated first corner
	Label   string           // a piece's number or name, a window's name, a step's L*
	// Verdict and Text are a piece's or a zone's: the word that stands first on
	// its plate, and the lines under it.
	Verdict tolerance.Verdict
	Text    []string
}

// judged reports whether the mark has a verdict to tell.
func (m Mark) judged() bool { return m.Kind == Piece || m.Kind == Zone }

// Subject is everything a picture shows.
type Subject struct {
	Field *colour.Field // nil or without cells gives an empty ground
	// Develop turns the camera's colour into reflectance, 1 for a perfect white;
	// nil leaves it as it is.
	Develop surface.Develop
	Marks   []Mark
	LeftOut []surface.Region  // glare, clipped cells, unusable steps: drawn hatched
	Patches []image.Rectangle // in cells, drawn as corner ticks

	Title string   // of the strip under the photo: the file's name
	Notes []string // more lines of the strip: the tolerance, warnings
	Long  int      // pixels of the photo's long side; 0 means 1600, at most 8192
}

const (
	defaultLong, leastLong, mostLong = 1600, 64, 8192
	// leastSide is the least side of the ground about the photo, as a share of
	// its long side, so that plates find room beside a narrow photo.
	leastSide = 0.5
)

// Draw returns the picture: the photo scaled to Long pixels on its long side,
// centred on a plain ground where it is narrow, which goes on below or beside it where
// the plates would else hide pieces, and the strip under it. Plates never cover each other nor leave the picture: what finds no room beside its
// piece stands in the strip, under the piece's label. Sizes of type and lines go
// with Long. The same subject always gives the same pixels.
func Draw(s Subject) *image.RGBA {
	long := min(max(s.Long, leastLong), mostLong)
	if s.Long == 0 {
		long = defaultLong
	}
	v := newView(s.Field, long)
	p := newPress(float64(long) / defaultLong)
	plates, v := p.lay(s.Marks, v)
	strip := p.strip(s, plates, v.ground.Dx())

	bounds := v.ground
	bounds.Max.Y += strip.height
	c := newCanvas(image.NewRGBA(bounds), p)
	c.clear(v.ground, inkOf(ground))
	v.develop(c.img, s.Field, s.Develop)
	c.hatch(s.LeftOut, v)
	c.ticks(s, v)
	for _, m := range s.Marks {
		c.outline(m, v)
		c.lightness(m, v)
	}
	for _, pl := range plates {
		c.leader(pl)
	}
	for _, pl := range plates {
		c.plate(pl)
	}
	strip.draw(c, v.ground.Max.Y)
	return c.img
}
