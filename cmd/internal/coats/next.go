package coats

import (
	"context"
	"fmt"
	"slices"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/dye"
	"evenhide/colour/tolerance"
)

// mostEarlier is how many pieces of a colour, the newest, tell of the next: more than
// a lot, which mostly has as few coats as the piece itself. With five coats each,
// in photos that they share, fitting them takes 0.3 s, and 2 s with three photos of each
// coat.
const mostEarlier = 20

// Next returns how many more coats a piece needs. The error is refusal.Error where
// too little is in the book.
func Next(ctx context.Context, b *shadebook.Book, piece string) (report.CoatNext, error) {
	p, err := b.PieceNamed(ctx, piece)
	if err != nil {
		return report.CoatNext{}, err
	}
	c, err := b.ColourNamed(ctx, p.Colour)
	if err != nil {
		return report.CoatNext{}, err
	}
	h, err := historyOf(ctx, b, c, p.Name)
	if err == nil && h.coats == 0 {
		err = refusal.New(nil, "note each coat with evenhide coat add PIECE", "%s: no coats are noted", p.Name)
	}
	if err != nil {
		return report.CoatNext{}, err
	}
	return h.next(ctx, b, c, p.Name)
}

// NextOf returns how many coats a new piece of a colour needs.
func NextOf(ctx context.Context, b *shadebook.Book, colourName string) (report.CoatNext, error) {
	c, err := b.ColourNamed(ctx, colourName)
	if err != nil {
		return report.CoatNext{}, err
	}
	return history{drying: c.DryingHours}.next(ctx, b, c, "")
}

// next forecasts a piece, "" being a new one, from its readings and what the
// colour's other pieces did.
func (h history) next(ctx context.Context, b *shadebook.Book, c shadebook.Colour, piece string) (report.CoatNext, error) {
	out := report.CoatNext{Version: report.Version, Piece: piece, Colour: c.Name, Coats: h.coats,
		Reasons: []string{}, Readings: []report.CoatReading{}, LeftOut: append([]report.CheckLeftOut{}, h.leftOut...)}
	var own []dye.Coat
	for _, r := range h.readings {
		d := r.piece.Depth
		own = append(own, r.asCoat())
		out.Readings = append(out.Readings, report.CoatReading{Coat: r.coat.Number, Check: r.check.ID, Strength: d.Strength, Interval: d.Interval, ShadeDE00: d.ShadeDE00})
	}
	if h.damp != nil {
		out.Verdict, out.Reasons, out.Hint = tolerance.Retake, []string{h.damp.reason}, h.damp.hint()
		return out, nil
	}
	earlier, newest, err := earlierPieces(ctx, b, c, piece)
	if err != nil {
		return out, err
	}
	out.Earlier = len(earlier)
	if len(h.readings) > 0 {
		newest = &h.readings[len(h.readings)-1]
	}
	if newest == nil {
		return out, h.tooFew(c, piece)
	}
	course, err := dye.FitCoats(own, earlier, c.Coats)
	if err != nil {
		return out, err
	}
	low, high, err := dye.Reach(newest.hide, newest.reference, c.Tolerance, colour.Weights{KL: c.KL, KC: 1, KH: 1})
	if err != nil {
		return out, refusal.New(err, "give the colour a smaller tolerance: evenhide colour change NAME --tolerance N",
			"check %d: no telling which strengths the tolerance of %.1f allows: %v", newest.check.ID, c.Tolerance, err)
	}
	f, err := course.Forecast(h.coats, low, high)
	if err != nil {
		return out, err
	}
	out.More = &report.MoreCoats{Least: f.Least, Likely: f.Likely, Most: f.Most, Never: f.Never, Over: f.Over,
		Within: [2]float64{low, high}, EndsAt: course.After(h.coats + dye.MostCoats)}
	h.judge(&out, c)
	return out, nil
}

// earlierPieces returns the readings of the colour's other pieces, the newest of
// them, and of those the last photo's; nil without any.
func earlierPieces(ctx context.Context, b *shadebook.Book, c shadebook.Colour, but string) (all [][]dye.Coat, newest *reading, err error) {
	names, err := b.CoatedPieces(ctx, c.Name, mostEarlier+1)
	if err != nil {
		return nil, nil, err
	}
	for _, name := range slices.DeleteFunc(names, func(n string) bool { return n == but }) {
		h, err := historyOf(ctx, b, c, name)
		if err != nil {
			return nil, nil, err
		}
		var coats []dye.Coat
		for i, r := range h.readings {
			coats = append(coats, r.asCoat())
			if newest == nil || r.check.Taken.After(newest.check.Taken) {
				newest = &h.readings[i]
			}
		}
		if len(coats) > 0 && len(all) < mostEarlier {
			all = append(all, coats)
		}
	}
	return all, newest, nil
}

func (h history) tooFew(c shadebook.Colour, piece string) error {
	const hint = "note each coat and check the piece after it, dry, with bare hide in the card's window: evenhide check PHOTO --colour NAME --keep --called PIECE"
	if piece == "" {
		return refusal.New(nil, hint, "too few checks: no piece of %s has been checked after a coat", c.Name)
	}
	why := ""
	if len(h.leftOut) > 0 {
		why = fmt.Sprintf("; check %d does not count: %s", h.leftOut[0].Check, h.leftOut[0].Reason)
	}
	return refusal.New(nil, hint, "too few checks: none tells how strong %s is, and no other piece of %s has been checked after a coat%s", piece, c.Name, why)
}
