package check

import (
	"fmt"
	"image"
	"math"
	"path/filepath"
	"slices"

	"evenhide/calibrate/card"
	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// reading is what was measured of one region, as far as a picture shows it.
type reading struct {
	region  surface.Region
	options surface.Options
	patches []surface.Patch
}

// subject returns what a picture of a check shows. A photo that was not judged,
// for failed, is shown as far as the check came; b is nil when it did not come to
// the colours.
func (rq Request) subject(f *colour.Field, b *bench, out *report.Photo, failed error) picture.Subject {
	s := picture.Subject{Field: f, Title: filepath.Base(out.File)}
	if b != nil && b.cal != nil {
		b.show(&s)
	}
	for _, p := range out.Pieces {
		s.Marks = append(s.Marks, mark(p, f.Cell))
	}
	if failed != nil {
		s.Notes = append(s.Notes, "not judged: "+failed.Error())
	} else {
		s.Notes = append(s.Notes, fmt.Sprintf("against the %s; ships up to ΔE00 %.1f, blotch %.1f",
			out.Reference.Against(), rq.Limits.DE, rq.Limits.Blotch))
	}
	if out.Calibration != nil {
		s.Notes = append(s.Notes, out.Calibration.Warnings...)
	}
	return s
}

// show adds what was measured and what was left out.
func (b *bench) show(s *picture.Subject) {
	s.Develop = b.cal.DevelopAt
	b.showGreys(s)
	b.showWindows(s)
	b.showReadings(s)
	for _, p := range b.judged {
		s.LeftOut = append(s.LeftOut, b.fittings(p))
	}
	s.LeftOut = slices.DeleteFunc(s.LeftOut, func(r surface.Region) bool { return r.Rect.Empty() })
}

// mark returns a piece with the figures of its line in the text, or with the
// reasons why there are none to go by.
func mark(p report.Piece, cell int) picture.Mark {
	m := picture.Mark{Kind: picture.Piece, Label: p.Name, Verdict: p.Verdict}
	if p.Zone {
		m.Kind = picture.Zone
	}
	for _, c := range p.Outline {
		m.Outline = append(m.Outline, surface.Corner{X: float64(c[0]) / float64(cell), Y: float64(c[1]) / float64(cell)})
	}
	if p.Verdict == tolerance.Retake || p.Measures == nil {
		m.Text = p.Reasons
		return m
	}
	m.Text = []string{fmt.Sprintf("ΔE00 %.1f (%.1f to %.1f)", p.DE00, p.Interval[0], p.Interval[1]), fmt.Sprintf("blotch %.1f", p.Blotch.RMS), p.Words}
	return m
}

// showGreys adds the card and the grey steps, each where it was read; those that
// were not used are left out.
func (b *bench) showGreys(s *picture.Subject) {
	outlines := map[image.Rectangle][]surface.Corner{}
	if b.found != nil {
		s.Marks = append(s.Marks, picture.Mark{Kind: picture.Card, Outline: b.corners(b.found.Outline())})
		for _, step := range b.card.Steps {
			outlines[b.region(step.Box, stepMargin).Rect] = b.corners(b.found.Quad(step.Box, stepMargin))
		}
	}
	for _, step := range b.cal.Steps {
		outline := outlines[step.Rect]
		if outline == nil {
			outline = corners(step.Rect)
		}
		s.Marks = append(s.Marks, picture.Mark{Kind: picture.Step, Outline: outline, Label: fmt.Sprintf("%.0f", step.L)})
		if !step.Used {
			s.LeftOut = append(s.LeftOut, step.Region)
		}
	}
}

// showWindows adds where the swatch and the hide were read.
func (b *bench) showWindows(s *picture.Subject) {
	add := func(name string, outline []surface.Corner) {
		s.Marks = append(s.Marks, picture.Mark{Kind: picture.Window, Outline: outline, Label: name})
	}
	window := func(box card.Box) []surface.Corner { return b.corners(b.found.Quad(box, windowMargin)) }
	switch {
	case b.rq.Swatch != nil:
		add("swatch", corners(b.field.Cells(b.rq.Swatch.Rect)))
	case b.rq.Reference == nil && b.found != nil && !b.bare:
		add("swatch", window(b.card.Swatch))
	}
	if b.hidden {
		add("hide", window(b.card.Hide))
	}
}

// showReadings adds the patches of the pieces, and everywhere the cells that were
// left out.
func (b *bench) showReadings(s *picture.Subject) {
	for _, r := range b.readings {
		s.LeftOut = append(s.LeftOut, surface.LeftOut(b.field, r.region, b.cal.DevelopAt, r.options))
		if r.options.MinTiles == leastTiles {
			continue // a window is one patch
		}
		for _, p := range r.patches {
			s.Patches = append(s.Patches, p.Rect)
		}
	}
}

// fittings returns the cells within a piece that do not belong to its leather:
// holes, fittings, shine. The margin along its edge is not among them.
func (b *bench) fittings(p piece) surface.Region {
	if p.region.In == nil {
		return surface.Region{}
	}
	const rimMM, rimShare = 3, .008 // a little more than a piece's margin; of the photo's longer side without a scale
	box := p.region.Rect
	rim := rimMM * b.cellsPerMM(float64(box.Min.X+box.Max.X)/2, float64(box.Min.Y+box.Max.Y)/2)
	if rim == 0 {
		rim = rimShare * float64(max(b.field.W, b.field.H))
	}
	out := surface.Polygon(p.outline, box)
	for i := range out.In {
		x, y := out.Rect.Min.X+i%out.Rect.Dx(), out.Rect.Min.Y+i/out.Rect.Dx()
		measured := p.region.In[(y-box.Min.Y)*box.Dx()+x-box.Min.X]
		out.In[i] = out.In[i] && !measured && away(p.outline, float64(x)+.5, float64(y)+.5) > rim
	}
	return out
}

// away returns how far x, y lies from an outline.
func away(outline []surface.Corner, x, y float64) float64 {
	least := math.Inf(1)
	last := outline[len(outline)-1]
	for _, c := range outline {
		dx, dy := c.X-last.X, c.Y-last.Y
		t := 0.0
		if length := dx*dx + dy*dy; length > 0 {
			t = min(max(((x-last.X)*dx+(y-last.Y)*dy)/length, 0), 1)
		}
		least = min(least, math.Hypot(last.X+t*dx-x, last.Y+t*dy-y))
		last = c
	}
	return least
}

// corners returns the corners of a rectangle of cells.
func corners(r image.Rectangle) []surface.Corner {
	x0, y0, x1, y1 := float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y)
	return []surface.Corner{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}
