package coats

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/dye"
	"evenhide/colour/tolerance"
)

// reading is what a kept check tells of a piece after a coat.
type reading struct {
	coat            shadebook.Coat
	check           shadebook.Check
	piece           report.Piece
	hide, reference colour.Lab
}

// asCoat returns the strength of the reading for a build-up.
func (r reading) asCoat() dye.Coat {
	d := r.piece.Depth
	return dye.Coat{N: r.coat.Has, Strength: d.Strength, U: (d.Interval[1] - d.Interval[0]) / 2, Photo: r.check.ID}
}

// history is what the book tells of a piece.
type history struct {
	coats    int       // that it has
	drying   float64   // hours that its last one takes
	readings []reading // by coat, of each the newest few, the newest last
	damp     *damp     // of the newest photo, when it shows the last coat
	leftOut  []report.CheckLeftOut
}

// historyOf reads a piece of a colour.
func historyOf(ctx context.Context, b *shadebook.Book, c shadebook.Colour, piece string) (h history, err error) {
	coats, err := b.Coats(ctx, piece)
	if err != nil {
		return h, err
	}
	h.drying = c.DryingHours
	for _, coat := range coats { // by number
		h.coats, h.drying = coat.Has, dye.DryingHours(c.DryingHours, coat.Temperature)
	}
	checks, err := b.PieceChecks(ctx, piece)
	if err != nil {
		return h, err
	}
	corrected := map[int64]bool{}
	for _, k := range checks {
		corrected[k.Corrects] = true
	}
	slices.SortStableFunc(checks, func(a, b shadebook.Check) int { return b.Taken.Compare(a.Taken) })
	newest := true
	for _, k := range checks {
		if corrected[k.ID] {
			continue
		}
		r, why, err := readingOf(ctx, b, c, coats, k, piece)
		if err != nil {
			return h, err
		}
		if why != "" {
			h.leftOut = append(h.leftOut, report.CheckLeftOut{Check: k.ID, Reason: why})
			if _, shown := before(coats, k.Taken); newest && shown != nil && shown.Has == h.coats {
				h.damp = dampAt(c, coats, k.Taken)
			}
		} else if h.ofCoat(r.coat.Number) < mostOfCoat {
			h.readings = append(h.readings, r)
		}
		newest = false
	}
	slices.Reverse(h.readings)
	slices.SortStableFunc(h.readings, func(a, b reading) int { return cmp.Compare(a.coat.Number, b.coat.Number) })
	return h, nil
}

// mostOfCoat is how many photos of one coat count: each tells less than the one before.
const mostOfCoat = 3

// ofCoat counts the readings of a coat.
func (h history) ofCoat(number int) (n int) {
	for _, r := range h.readings {
		if r.coat.Number == number {
			n++
		}
	}
	return n
}

// readingOf returns what a check tells of a piece, or why it does not count.
func readingOf(ctx context.Context, b *shadebook.Book, c shadebook.Colour, coats []shadebook.Coat, k shadebook.Check, name string) (r reading, why string, err error) {
	last, highest := before(coats, k.Taken)
	i := slices.IndexFunc(k.Pieces, func(p shadebook.Judged) bool { return p.Name == name })
	switch d := dampAt(c, coats, k.Taken); {
	case k.Taken.IsZero():
		return r, "the photo does not say when it was taken", nil
	case last == nil:
		return r, "taken before the first coat", nil
	case d != nil:
		return r, d.reason, nil
	case k.Pieces[i].Measured == nil:
		return r, "the piece could not be measured", nil
	case k.Pieces[i].Measured.Strength == nil:
		return r, "no strength: no bare hide lay in the card's window, or dye on it does not give this colour", nil
	}
	e, err := b.Evidence(ctx, k.ID)
	if err != nil {
		return r, "", err
	}
	var photo report.Photo
	if err := json.Unmarshal(e.Result, &photo); err != nil {
		return r, "", fmt.Errorf("the result of check %d: %w", k.ID, err)
	}
	if piece := photo.Numbered(k.Pieces[i].Number); piece != nil && photo.Hide != nil && photo.Reference != nil {
		r = reading{*highest, k, *piece, lab(photo.Hide.Lab), lab(photo.Reference.Lab)}
	}
	if r.piece.Measures == nil || r.piece.Depth == nil || !(r.piece.Depth.Interval[1] > r.piece.Depth.Interval[0]) {
		return r, "kept without what a forecast needs", nil
	}
	r.piece.Verdict, r.piece.Reasons = record.Judge(r.piece, *photo.Reference, colour.Weights{KL: c.KL, KC: 1, KH: 1},
		tolerance.Limits{DE: c.Tolerance, Blotch: c.BlotchTolerance}) // which may have changed since
	return r, "", nil
}

func lab(v [3]float64) colour.Lab { return colour.Lab{L: v[0], A: v[1], B: v[2]} }
