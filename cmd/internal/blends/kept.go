package blends

import (
	"context"
	"fmt"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/dye"
)

// Kept returns the dabs that the book has of a bottle, the newest, or those of its
// newest ladder.
func Kept(ctx context.Context, b *shadebook.Book, bottle string) (d report.DyeDabs, err error) {
	if found, err := newest(ctx, b, bottle, shadebook.OfDabs, &d); found || err != nil {
		return d, err
	}
	var l report.Ladder
	found, err := newest(ctx, b, bottle, shadebook.OfLadder, &l)
	if err != nil {
		return d, err
	}
	switch {
	case !found:
		return d, refusal.New(shadebook.ErrNoRecord, "keep one from a photo with evenhide bottle dab PHOTO --of "+bottle+", or give --dab", "no dab of the bottle %q is kept", bottle)
	case l.HideLab == [3]float64{}:
		return d, refusal.New(shadebook.ErrNoRecord, "lay the ladder and keep it again, or keep a dab with evenhide bottle dab PHOTO --of "+bottle+", or give --dab",
			"the ladder of the bottle %q, from %s, was kept by an earlier evenhide, without the bare hide that a blend needs", bottle, l.File)
	}
	d = report.DyeDabs{Bottle: bottle, File: l.File, Light: l.Light, Camera: l.Camera, HideLab: l.HideLab, HideDoubt: l.HideDoubt}
	if l.Card != nil {
		d.Card = l.Card.Serial
	}
	for _, r := range l.Rungs {
		d.Dabs = append(d.Dabs, report.DyeDab{Part: r.Part, Lab: r.Lab, Cov: r.Cov, Shared: r.Shared, Lit: r.Lit})
	}
	return d, nil
}

// Telling refuses dabs of bottles, in reading order, from which no blend could be mixed:
// those of each bottle must show dye, and each the part that it is said to have; a mix
// must go with the dyes that are in it.
func Telling(photo string, seen check.Dyes, dabs []Dab) error {
	var together [][]string
	for _, name := range DyesOf(dabs) {
		together = append(together, []string{name})
	}
	for _, d := range dabs {
		if mixed := DyesOf([]Dab{d}); len(mixed) > 1 {
			together = append(together, mixed)
		}
	}
	for _, names := range together {
		v := dye.View{Hide: reading(seen.Hide), Dabs: dabsOf(seen, dabs, names)}
		if _, err := dye.NewPalette(names, []dye.View{v}); err != nil {
			return Advise(fmt.Errorf("%s: %w", photo, err))
		}
	}
	return nil
}

// Keep returns what is kept of the dabs, in reading order, of one bottle and of mixes with it.
func Keep(seen check.Dyes, dabs []Dab, bottle string) report.DyeDabs {
	out := report.DyeDabs{Version: report.Version, Bottle: bottle, Taken: report.Time(seen.Taken), Camera: seen.Camera, Card: seen.Card,
		HideLab: report.Triple(seen.Hide.Lab), HideDoubt: report.NewHideDoubt(seen.Hide)}
	for i, d := range dabs {
		if !d.has(bottle) {
			continue
		}
		e := seen.Dabs[i]
		kept := report.DyeDab{Part: d.Part, Lab: report.Triple(e.Lab), Cov: e.Cov, Shared: report.NewShared(e), Lit: e.Lit}
		if len(d.Of) > 1 {
			kept.Of = d.Of
		}
		out.Dabs = append(out.Dabs, kept)
	}
	return out
}

// newest reads the newest check of a kind of a bottle, where there is one.
func newest(ctx context.Context, b *shadebook.Book, bottle, kind string, into any) (found bool, err error) {
	checks, err := b.BottleChecks(ctx, bottle, kind)
	if err != nil || len(checks) == 0 {
		return false, err
	}
	return true, checks[0].Into(into)
}

// shared returns what was kept of a reading's shared errors; nil for none.
func shared(kept report.Shared) (out []colour.Lab) {
	for _, v := range kept {
		out = append(out, lab(v))
	}
	return out
}
