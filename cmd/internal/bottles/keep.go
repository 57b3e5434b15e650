// Package bottles keeps what dabs tell of bottles in the shade book, and tells what
// the book knows of a bottle: its strength over time and its ladder.
package bottles

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

// Check checks the dabs in the photo at path and keeps the result of those bottles
// that are named, each with all its dabs. Without rq.Called all dabs are of the one
// bottle. Bottles with a ladder are thinned by it.
func Check(ctx context.Context, b *shadebook.Book, path string, rq check.DabRequest, names []string) (report.Dabs, error) {
	out := report.Dabs{}
	rq.Ladders = map[string]check.KeptLadder{}
	for i, name := range names {
		bottle, err := b.BottleNamed(ctx, name)
		if err == nil {
			err = RefuseName(bottle.Name)
		}
		if err != nil {
			return out, err
		}
		names[i] = bottle.Name
		ladder, err := ladderFor(ctx, b, bottle)
		if err != nil {
			return out, err
		}
		if ladder != nil {
			rq.Ladders[bottle.Name] = *ladder
		}
	}
	var err error
	if rq.Called, err = called(ctx, b, rq.Called, names); err != nil {
		return out, err
	}
	k, err := newKeeper(b, path, &rq.Request)
	if err != nil {
		return out, err
	}
	if out, err = check.Dabs(path, rq); err != nil {
		return out, err
	}
	for i := range out.Dabs {
		d := &out.Dabs[i]
		if !slices.Contains(names, d.Name) {
			continue
		}
		one := out
		one.Dabs = []report.Dab{*d}
		d.Kept, d.KeptBefore, err = k.keep(ctx, record.Bottle(out, *d, k.file), one)
		if err != nil {
			return out, err
		}
	}
	return out, nil
}

// RefuseName refuses the name of a bottle by which dabs of the reference are called.
func RefuseName(bottle string) error {
	if shadebook.Folded(bottle) != check.Reference {
		return nil
	}
	return refusal.New(nil, "add the bottle by another name", "%q is what more dabs of the reference are called, and no name of a bottle", bottle)
}

// called returns what dabs are called, bottles of the book as it spells them. Each of
// the bottles kept must be among them.
func called(ctx context.Context, b *shadebook.Book, typed, kept []string) ([]string, error) {
	if len(typed) == 0 {
		return kept, nil
	}
	var out []string
	for _, name := range typed {
		if name == check.Reference { // whatever an older book calls so
			out = append(out, name)
			continue
		}
		bottle, err := b.BottleNamed(ctx, name)
		switch {
		case err == nil && RefuseName(bottle.Name) != nil:
			return nil, RefuseName(bottle.Name)
		case err == nil:
			name = bottle.Name
		case !errors.Is(err, shadebook.ErrNoRecord): // a dab may be of any bottle
			return nil, err
		}
		out = append(out, name)
	}
	for _, name := range kept {
		if !slices.Contains(out, name) {
			return nil, refusal.New(nil, "name the bottle of each dab in reading order with --called, each --bottle among them",
				"no dab is called %q, which is to be kept", name)
		}
	}
	return out, nil
}

// KeepLadder reads the dabs in the photo at path as a bottle's ladder, and keeps it.
func KeepLadder(ctx context.Context, b *shadebook.Book, path string, rq check.DabRequest, parts []float64, name string) (report.Ladder, error) {
	bottle, err := b.BottleNamed(ctx, name)
	if err != nil {
		return report.Ladder{}, err
	}
	k, err := newKeeper(b, path, &rq.Request)
	if err != nil {
		return report.Ladder{}, err
	}
	out, err := check.Ladder(path, rq, parts)
	if err != nil {
		return out, err
	}
	out.Bottle = bottle.Name
	out.Kept, out.KeptBefore, err = k.keep(ctx, record.Ladder(out, bottle.Name, k.file), out)
	if err == nil && out.KeptBefore {
		err = sameParts(ctx, b, out)
	}
	return out, err
}

// sameParts refuses a ladder whose photo the book keeps with other parts.
func sameParts(ctx context.Context, b *shadebook.Book, l report.Ladder) error {
	checks, err := b.BottleChecks(ctx, l.Bottle, shadebook.OfLadder)
	i := slices.IndexFunc(checks, func(c shadebook.BottleCheck) bool { return c.ID == l.Kept })
	if err != nil || i < 0 {
		return err
	}
	stored, err := ladderIn(checks[i])
	if err != nil || slices.EqualFunc(stored.Rungs, l.Rungs, func(a, b report.Rung) bool { return a.Part == b.Part }) {
		return err
	}
	return refusal.New(shadebook.ErrStored, fmt.Sprintf("evenhide check drop %d takes that one back, and then this photo may be kept again", l.Kept),
		"%s: check %d of %q keeps this photo with other parts", l.File, l.Kept, l.Bottle)
}

// keeper keeps what a photo shows.
type keeper struct {
	book  *shadebook.Book
	file  shadebook.PhotoFile
	small []byte // its picture, once it was read
	drawn error
}

// newKeeper returns the keeper of the photo at path, and has rq show it what it draws.
func newKeeper(b *shadebook.Book, path string, rq *check.Request) (*keeper, error) {
	k := &keeper{book: b}
	rq.Show = func(s picture.Subject) { k.small, k.drawn = record.Picture(s) }
	var err error
	k.file, err = record.PhotoFile(path)
	return k, err
}

// keep stores c with its whole result, and returns its number: that of the check
// before it where this photo was kept already.
func (k *keeper) keep(ctx context.Context, c shadebook.Check, whole any) (id int64, before bool, err error) {
	e, err := record.Evidence(whole, k.small)
	if err = errors.Join(k.drawn, err); err != nil {
		return 0, false, err
	}
	kept, err := k.book.AddCheck(ctx, c, e)
	if !errors.Is(err, shadebook.ErrStored) {
		return kept.ID, false, err
	}
	stored, err := k.book.BottleChecks(ctx, c.Bottle, c.Kind)
	i := slices.IndexFunc(stored, func(s shadebook.BottleCheck) bool { return s.Photo.SHA256 == k.file.SHA256 })
	if err != nil || i < 0 {
		return 0, false, err
	}
	return stored[i].ID, true, nil
}
