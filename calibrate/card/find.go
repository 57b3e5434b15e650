package card

import (
	"math"
	"slices"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

const (
	// firstSide is the longest side of the picture that is searched first: a
	// card that spans half of it has modules of 4 pixels.
	firstSide = 1050
	minSide   = 40 // cells of a field in which a code could be read at all
)

// Find returns the place of the one card in the field. Its pixels are those of
// the upright photo, f.Cell of them to a cell.
//
// It is a refusal of kind ErrNoCard, ErrOneCode, ErrManyCards, ErrOtherVersion
// or ErrGeometry when there is no single card of this layout, lying flat and
// seen from above (up to about 50° of tilt), whose codes and steps all agree.
func Find(f *colour.Field) (Found, error) {
	if f.W < minSide || f.H < minSide {
		return Found{}, noCard()
	}
	l := light{f}
	var codes []code
	for _, cell := range scales(f) {
		again := l.codes(newPicture(f, cell).patterns())
		if len(again) >= len(codes) {
			codes = again
		}
		if len(codes) >= 2 {
			break
		}
	}
	if err := onlyOne(codes); err != nil {
		return Found{}, err
	}
	place, read, err := l.settle(codes)
	if err != nil {
		return Found{}, err
	}
	if err := l.check(place); err != nil {
		return Found{}, err
	}
	toPixel := enlarge(place.toCells, float64(f.Cell))
	toMM, ok := toPixel.Inverse()
	if !ok {
		return Found{}, bent("the card is seen edge on")
	}
	return Found{Serial: codes[0].text.serial, Version: layoutVersion, Codes: read,
		ToPixel: toPixel, ToMM: toMM, ResidualPx: place.residual * float64(f.Cell), EdgeMM: l.edgeWidth(place.toCells)}, nil
}

// scales returns the cells a pixel of the pictures to search, the quickest first.
func scales(f *colour.Field) []int {
	first := int(math.Round(float64(max(f.W, f.H)) / firstSide))
	if first <= 1 {
		return []int{1}
	}
	return []int{first, 1}
}

func noCard() error {
	return refusal.New(ErrNoCard, "lay the printed card in the photo with both codes in the frame, sharp and evenly lit",
		"no evenhide card was found in the photo")
}

// onlyOne refuses codes that do not belong to one card of this layout.
func onlyOne(codes []code) error {
	if len(codes) == 0 {
		return noCard()
	}
	for _, c := range codes {
		if c.text.version != layoutVersion {
			return refusal.New(ErrOtherVersion, "print a new card with this version of evenhide",
				"the card has layout version %d, wanted %d", c.text.version, layoutVersion)
		}
	}
	for i, c := range codes {
		for _, other := range codes[:i] {
			if c.text.serial != other.text.serial {
				return refusal.New(ErrManyCards, "leave one card in the photo",
					"codes of two cards are in the photo, %s and %s, wanted one card", other.text.serial, c.text.serial)
			}
			if c.text.end == other.text.end {
				return refusal.New(ErrManyCards, "leave one card in the photo",
					"card %s is in the photo more than once, wanted one card", c.text.serial)
			}
		}
		if c.mirrored {
			return refusal.New(ErrGeometry, "use the photo as the camera took it, not flipped", "the photo shows the card in a mirror")
		}
	}
	return nil
}

// settle fits the homography of the whole card to its codes, and returns how many
// of them were read.
func (l light) settle(codes []code) (place fitted, read int, err error) {
	layout := NewLayout()
	edges, err := codeEdges(layout, codes[0].text.serial)
	if err != nil {
		return fitted{}, 0, err
	}
	var start colour.Matrix
	ok := true
	if len(codes) == 1 {
		if place, err = l.settleOne(layout, codes[0], edges); err != nil {
			return fitted{}, 0, err
		}
		// Now that the place of the other code is known it can often be read.
		want := codes[0].text
		want.end = right - want.end
		at := layout.Codes[want.end]
		text, _, _ := l.readAt(shift(place.toCells, Point{-at.X, -at.Y}))
		if text != want.String() {
			return place, 1, nil
		}
		start = place.toCells
	} else {
		start, ok = join(layout, codes)
	}
	if ok {
		place, ok = l.refine(start, slices.Concat(edges[left], edges[right], layout.middleEdges()), 4)
	}
	if !ok {
		return fitted{}, 0, bent("the two codes do not lie as on one flat card")
	}
	return place, 2, nil
}

// join returns the homography, to cells, that fits the corners of both codes.
func join(layout Layout, codes []code) (colour.Matrix, bool) {
	var from []Point
	var to []Pixel
	for _, c := range codes {
		corners, seen := layout.Codes[c.text.end].Corners(), c.corners()
		from, to = append(from, corners[:]...), append(to, seen[:]...)
	}
	m, ok := fourPoints(from, to)
	return m, ok && sane(m)
}

// codeEdges returns the edges of both codes of the card with that serial.
func codeEdges(l Layout, serial string) (out [2][]edge, err error) {
	for e, at := range l.Codes {
		s, err := newSymbol(codeText{l.Version, end(e), serial}.String())
		if err != nil {
			return out, err
		}
		out[e] = symbolEdges(&s, Point{at.X, at.Y}, func(int, int) bool { return true })
	}
	return out, nil
}

// settleOne finds the whole card from one code: the fit is carried along the
// card, from what lies near the code to what lies far, so that each part is
// looked for where the last one puts it.
func (l light) settleOne(layout Layout, c code, edges [2][]edge) (fitted, error) {
	at := layout.Codes[c.text.end]
	other := right - c.text.end
	place, ok := l.refine(shift(c.toCells, Point{at.X, at.Y}), edges[c.text.end], 3)
	all := edges[c.text.end]
	middle := layout.middleEdges()
	for reached := Millimetres(60); ok && reached < layout.W; reached += 15 {
		near := slices.Clone(all)
		for _, e := range slices.Concat(middle, edges[other]) {
			x := e.at.X
			if c.text.end == right {
				x = layout.W - x
			}
			if x < reached {
				near = append(near, e)
			}
		}
		place, ok = l.refine(place.toCells, near, 2)
	}
	if ok {
		place, ok = l.refine(place.toCells, slices.Concat(all, middle), 3)
	}
	if !ok || !sane(place.toCells) || l.agree(place.toCells, middle, oneCodeSlack) < oneCodeMiddle {
		return fitted{}, refusal.New(ErrOneCode, "uncover both codes, keep shadows and shine off them, and take the photo again",
			"only the %s code of card %s can be read, and the rest of the card does not show where it lies", c.text.end, c.text.serial)
	}
	return place, nil
}

// agree returns the share of edges that are seen no further than slack from
// where m puts them.
func (l light) agree(m colour.Matrix, edges []edge, slack float64) float64 {
	n := 0
	for _, e := range edges {
		if mm, ok := l.offset(m, e); ok && math.Abs(mm) < slack {
			n++
		}
	}
	return float64(n) / float64(len(edges))
}
