package picture

import (
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"evenhide/colour"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// grey returns a field of w×h cells of even mid grey.
func grey(w, h int) *colour.Field {
	f := colour.NewField(w, h, 1)
	for i := range f.RGB {
		f.RGB[i] = .2
	}
	return f
}

func verdicts() []tolerance.Verdict {
	return []tolerance.Verdict{tolerance.Ship, tolerance.AnotherCoat, tolerance.Hold, tolerance.LookAgain, tolerance.Retake}
}

// drawnMark draws a mark anywhere in and about a field of w×h cells.
func drawnMark(t *rapid.T, w, h int) Mark {
	x := rapid.Float64Range(-.3*float64(w), 1.2*float64(w)).Draw(t, "x")
	y := rapid.Float64Range(-.3*float64(h), 1.2*float64(h)).Draw(t, "y")
	rx, ry := rapid.Float64Range(.5, float64(w)).Draw(t, "rx"), rapid.Float64Range(.5, float64(h)).Draw(t, "ry")
	m := Mark{
		Kind:    Kind(rapid.IntRange(int(Piece), int(Card)).Draw(t, "kind")),
		Label:   rapid.StringN(0, 12, -1).Draw(t, "label"),
		Verdict: rapid.SampledFrom(verdicts()).Draw(t, "verdict"),
		Text:    rapid.SliceOfN(rapid.StringN(0, 60, -1), 0, 4).Draw(t, "text"),
	}
	for i := range rapid.IntRange(0, 7).Draw(t, "corners") {
		sin, cos := math.Sincos(float64(i) * .9)
		m.Outline = append(m.Outline, surface.Corner{X: x + rx*cos, Y: y + ry*sin})
	}
	return m
}

func TestPlatesKeepApartAndInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 400).Draw(t, "w"), rapid.IntRange(1, 400).Draw(t, "h")
		var marks []Mark
		for range rapid.IntRange(0, 14).Draw(t, "marks") {
			marks = append(marks, drawnMark(t, w, h))
		}
		v := newView(grey(w, h), rapid.SampledFrom([]int{64, 400, 1600}).Draw(t, "long"))
		p := newPress(float64(max(v.photo.Dx(), v.photo.Dy())) / defaultLong)
		plates, v := p.lay(marks, v)
		for i, a := range plates {
			if !a.box.In(v.ground) {
				t.Fatalf("plate %d at %v leaves the ground %v", i, a.box, v.ground)
			}
			if !a.box.Empty() && a.box.Size() != a.size {
				t.Fatalf("plate %d of %v lies at %v", i, a.size, a.box)
			}
			for k, b := range plates[:i] {
				if a.box.Overlaps(b.box) {
					t.Fatalf("plates %d at %v and %d at %v overlap", k, b.box, i, a.box)
				}
			}
		}
	})
}

// A row of pieces that fills the photo under a card, with long names: no plate hides a piece,
// no leader runs over one, and no name is cut.
func TestPlatesOfARowOfPieces(t *testing.T) {
	marks := []Mark{{Kind: Card, Outline: box(image.Rect(100, 40, 300, 110))}}
	names := []string{"a rather long name of a piece", "fob B with the second strap end", "wallet", "4"}
	for i, name := range names {
		left := 40 + 95*i
		marks = append(marks, Mark{Kind: Piece, Outline: box(image.Rect(left, 130, left+60, 270)), Label: name, Verdict: tolerance.AnotherCoat,
			Text: []string{"ΔE00 4.7 (3.4 to 5.9)", "blotch 0.4", "much lighter, clearly yellower"}})
	}
	v, p := newView(grey(400, 300), defaultLong), newPress(1)
	plates, v := p.lay(marks, v)
	d := newDesk(marks, v, p)
	for i, pl := range plates {
		if hidden, _ := d.all.under(pl.box); pl.box.Empty() || hidden > 0 || d.crosses(i+1, pl.box) || !pl.box.In(v.ground) {
			t.Errorf("the plate of %s at %v hides %v squares", names[i], pl.box, hidden)
		}
		if said := strings.TrimSpace(pl.label + strings.Join(pl.names, " ")); said != names[i] {
			t.Errorf("%q is called %q", names[i], said)
		}
	}
}

// TestEveryVerdictIsSaid holds that what is not on a plate is in the strip.
func TestEveryVerdictIsSaid(t *testing.T) {
	var marks []Mark
	for range 60 { // more than a photo has room for
		marks = append(marks, Mark{Outline: box(image.Rect(10, 10, 90, 60)), Label: "n", Verdict: tolerance.Hold, Text: []string{"far too dark"}})
	}
	v, p := newView(grey(100, 75), defaultLong), newPress(1)
	plates, v := p.lay(marks, v)
	if len(plates) != len(marks) {
		t.Fatalf("%d plates for %d marks", len(plates), len(marks))
	}
	placed, full := 0, 0
	for _, pl := range plates {
		if !pl.box.Empty() {
			placed++
			if pl.form.full {
				full++
			}
		}
	}
	st := p.strip(Subject{}, plates, v.ground.Dx())
	if placed == 0 || placed == len(marks) {
		t.Fatalf("%d of %d placed: the test wants some of them", placed, len(marks))
	}
	if want := len(marks) - full; len(st.notes) != want || st.notes[0] != "n hold – far too dark" {
		t.Errorf("the strip has %d lines, want %d: %q", len(st.notes), want, st.notes)
	}
}

// TestStripStaysShort holds that hundreds of marks do not make a picture that
// nothing opens.
func TestStripStaysShort(t *testing.T) {
	s := Subject{Field: grey(80, 60), Long: 400}
	for range 300 {
		s.Marks = append(s.Marks, Mark{Outline: box(image.Rect(30, 30, 50, 40)), Label: "7", Text: []string{"a hair darker"}})
	}
	const most = 300 + (mostNotes+1)*10 + 40 // the photo, lines of 1.28·30/4 pixels, title and margins
	if got := Draw(s).Bounds().Dy(); got > most || got < most/2 {
		t.Errorf("the picture is %d pixels high, want at most %d and most of that", got, most)
	}
}

func TestDrawStandsAnySubject(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.SampledFrom([]int{1, 2, 7, 300}).Draw(t, "w"), rapid.SampledFrom([]int{1, 3, 40}).Draw(t, "h")
		s := Subject{Field: grey(w, h), Long: rapid.SampledFrom([]int{1, 64, 200}).Draw(t, "long"),
			Title: rapid.String().Draw(t, "title"), Notes: rapid.SliceOfN(rapid.String(), 0, 3).Draw(t, "notes")}
		for range rapid.IntRange(0, 4).Draw(t, "marks") {
			s.Marks = append(s.Marks, drawnMark(t, w, h))
		}
		r := image.Rect(-3, -2, rapid.IntRange(-1, 400).Draw(t, "right"), 5)
		s.Patches, s.LeftOut = []image.Rectangle{r}, []surface.Region{{Rect: r}, {Rect: r, In: make([]bool, 3)}}
		img := Draw(s)
		for i := 3; i < len(img.Pix); i += 4 {
			if img.Pix[i] != 255 {
				t.Fatalf("pixel %d is see-through", i/4)
			}
		}
	})
}

func TestDrawStandsBadInput(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	bad := []surface.Corner{{X: nan, Y: 1}, {X: 3, Y: inf}, {X: 5, Y: 5}}
	far := []surface.Corner{{X: 1e300, Y: 1}, {X: -1e300, Y: 1e300}, {X: 5, Y: -1e300}}
	field := grey(9, 6)
	field.RGB[4], field.RGB[5] = float32(nan), float32(inf)
	for name, s := range map[string]Subject{
		"nothing":       {},
		"no cells":      {Field: &colour.Field{}},
		"too few cells": {Field: &colour.Field{W: 5, H: 5, Cell: 1}},
		"outlines":      {Field: field, Marks: []Mark{{Outline: bad}, {Outline: far, Kind: Zone}, {Outline: far, Verdict: tolerance.LookAgain}}},
		"far regions":   {Field: field, LeftOut: []surface.Region{{Rect: image.Rect(-1e9, -1e9, 1e9, 1e9)}}, Patches: []image.Rectangle{image.Rect(-1e9, -1e9, 1e9, 1e9)}},
	} {
		s.Long = 300
		if got := Draw(s).Bounds(); got.Dx() < 150 || got.Dy() < 150 {
			t.Errorf("%s: a picture of %v", name, got)
		}
	}
}

func TestDrawIsTheSameEachTime(t *testing.T) {
	s := wallet(t)
	a, b := Draw(s), Draw(s)
	for i := range a.Pix {
		if a.Pix[i] != b.Pix[i] {
			t.Fatalf("byte %d differs: %d and %d", i, a.Pix[i], b.Pix[i])
		}
	}
}

// TestOutlineLies holds that each verdict's outline is along the piece's edge,
// in its stain and in paper, and that nothing is drawn elsewhere.
func TestOutlineLies(t *testing.T) {
	seen := map[[2]int]tolerance.Verdict{}
	for _, verdict := range verdicts() {
		field := grey(160, 120)
		v := newView(field, defaultLong)
		plain, c := image.NewRGBA(v.ground), newCanvas(image.NewRGBA(v.ground), newPress(1))
		v.develop(plain, field, nil)
		v.develop(c.img, field, nil)
		r := image.Rect(40, 30, 120, 90)
		c.outline(Mark{Outline: box(r), Verdict: verdict}, v)
		_, stain := style(verdict)
		ring := map[color.RGBA]int{}
		edge := image.Rect(400, 300, 1200, 900) // ten pixels a cell
		const reach = 11                        // half the widest outline, 19, and a soft edge
		for y := range v.ground.Dy() {
			for x := range v.ground.Dx() {
				at := image.Pt(x, y)
				if at.In(edge.Inset(-reach)) && !at.In(edge.Inset(reach)) {
					ring[c.img.RGBAAt(x, y)]++
				} else if c.img.RGBAAt(x, y) != plain.RGBAAt(x, y) {
					t.Fatalf("%s: drawn at %v, away from the outline", verdict, at)
				}
			}
		}
		const perimeter = 2800
		if ring[inkOf(stain)] < perimeter || ring[inkOf(paper)] < perimeter {
			t.Errorf("%s: %d pixels of stain and %d of paper along %d", verdict, ring[inkOf(stain)], ring[inkOf(paper)], perimeter)
		}
		shape := [2]int{ring[inkOf(stain)], ring[inkOf(paper)]}
		if other, ok := seen[shape]; ok {
			t.Errorf("%s and %s are drawn alike", verdict, other)
		}
		seen[shape] = verdict
	}
}

// TestInkStandsOut holds paper-coloured type on every stain, and dark type on
// paper, to 4.5:1, the least contrast of WCAG 2.2, 1.4.3.
func TestInkStandsOut(t *testing.T) {
	light := func(i ink) float64 {
		c, s := inkOf(i), colour.SRGB()
		return s.XYZ(s.Linear(colour.EncodedRGB{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255})).Y
	}
	stains := []ink{dark}
	for _, v := range verdicts() {
		_, stain := style(v)
		stains = append(stains, stain)
	}
	for _, s := range stains {
		if contrast := (light(paper) + .05) / (light(s) + .05); contrast < 4.5 {
			t.Errorf("ink %d on paper: contrast %.1f", s, contrast)
		}
	}
}

func TestClean(t *testing.T) {
	p := newPress(1)
	const have = "ΔE00 0,8 ± 0,3 · 40° L′ − … é à ñ ü Å ß ≤ → “x” – €"
	if got := p.clean(have); got != have {
		t.Errorf("the fonts lack signs of %q: %q", have, got)
	}
	for in, want := range map[string]string{"cafe\u0301": "café", "a\tb\x00\u200dc": "a bc", "皮.jpg": "?.jpg", "\xff": "\ufffd"} {
		if got := p.clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}
