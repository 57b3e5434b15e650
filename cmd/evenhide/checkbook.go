package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"time"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/batch"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/coats"
	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

// suit refuses options that do not go together.
func (o *checkFlags) suit(photos []string) (err error) {
	switch {
	case len(photos) == 0:
		return misuse("check", "no photo named")
	case o.colour == "" && (o.keep || o.light != "" || *o.book != ""):
		return misuse("check", "--keep, --light and --book go with a colour of the shade book: wanted --colour NAME")
	case o.called != "" && !o.keep:
		return misuse("check", "--called names pieces that are stored: wanted --keep")
	case o.taken != "" && !o.keep:
		return misuse("check", "--taken says when a photo that is stored was taken: wanted --keep")
	case o.taken != "" && len(photos) > 1:
		return misuse("check", "--taken is of one photo, and %d are named", len(photos))
	case o.typed("replaces") && (!o.keep || o.replaces < 1):
		return misuse("check", "--replaces %d: wanted --keep, and the number of a check that the shade book keeps", o.replaces)
	case o.typed("replaces") && len(photos) > 1:
		return misuse("check", "--replaces is of one photo, and %d are named", len(photos))
	case o.called != "" && len(photos) > 1:
		return misuse("check", "--called names the pieces of one photo, and %d are named", len(photos))
	case o.called != "":
		o.names, err = calledNames("check", o.called)
	}
	return err
}

// byBook checks photos against a colour of the book. With an error comes what was
// checked before it.
func (o *checkFlags) byBook(ctx context.Context, b *shadebook.Book, rq check.Request, draw *pictures, paths []string) ([]report.Photo, error) {
	c, err := b.ColourNamed(ctx, o.colour)
	if err != nil {
		return nil, err
	}
	rq, err = o.against(ctx, b, c, rq)
	if err != nil {
		return nil, err
	}
	if o.keep {
		taken, err := o.takenAt()
		if err != nil {
			return nil, err
		}
		guard := coats.Guard(ctx, b, c, o.names, taken)
		rq.Judged = func(p *report.Photo) error {
			o.call(p)
			return guard(p)
		}
	}
	var photos []report.Photo
	for i, path := range paths {
		if ctx.Err() != nil {
			return photos, refusal.New(ctx.Err(), "the same command again with the photos that are left goes on", "stopped after %d of %d photos", i, len(paths))
		}
		var small []byte
		var drawn error
		shown := draw.shown(i, rq)
		if show := shown.Show; o.keep {
			shown.Show = func(s picture.Subject) {
				if show != nil {
					show(s)
				}
				small, drawn = record.Picture(s)
			}
		}
		p := check.Photo(path, shown)
		if o.keep && p.Error == "" {
			if err = drawn; err == nil {
				err = o.store(ctx, b, c, &p, small)
			}
		}
		if photos = append(photos, p); err != nil {
			return photos, err
		}
	}
	return photos, nil
}

// againstColour holds rq against a colour: its limits, its weights, and its kept
// swatch where a photo shows none.
func againstColour(ctx context.Context, b *shadebook.Book, c shadebook.Colour, rq check.Request) (check.Request, error) {
	kept, err := b.CurrentSwatch(ctx, c.Name)
	switch {
	case err == nil:
		return record.Against(rq, c, &kept), nil
	case errors.Is(err, shadebook.ErrNoRecord): // a swatch in the photo will do
		return record.Against(rq, c, nil), nil
	}
	return rq, err
}

// takenAt returns when the photo was taken; the zero time where that is not said.
func (o *checkFlags) takenAt() (time.Time, error) {
	if o.taken == "" {
		return time.Time{}, nil
	}
	return parseWhen("check", "--taken", o.taken)
}

// call gives the pieces of a photo their names, where they are said and fit: names that
// do not are refused when the result is stored.
func (o *checkFlags) call(p *report.Photo) {
	whole := p.Whole()
	if len(whole) != len(o.names) {
		return
	}
	for i, piece := range whole {
		piece.Name = o.names[i]
	}
}

// against is againstColour as far as the options do not say otherwise.
func (o *checkFlags) against(ctx context.Context, b *shadebook.Book, c shadebook.Colour, typed check.Request) (check.Request, error) {
	rq, err := againstColour(ctx, b, c, typed)
	if o.typed("tolerance") {
		rq.Limits.DE = typed.Limits.DE
	}
	if o.typed("blotch-tolerance") {
		rq.Limits.Blotch = typed.Limits.Blotch
	}
	if o.typed("kl") {
		rq.Weights = typed.Weights
	}
	return rq, err
}

// store keeps the result of a photo in the book, and says in p what it became.
func (o *checkFlags) store(ctx context.Context, b *shadebook.Book, c shadebook.Colour, p *report.Photo, small []byte) error {
	file, err := record.PhotoFile(p.File)
	if err != nil {
		return err
	}
	name, err := o.naming(ctx, b, c, *p, file)
	if err != nil {
		return err
	}
	e, err := record.Evidence(*p, small)
	if err != nil {
		return err
	}
	k := record.Check(*p, file.SHA256, name)
	k.Colour, k.Corrects = c.Name, o.replaces
	kept, err := b.AddCheck(ctx, k, e)
	if errors.Is(err, shadebook.ErrStored) && o.replaces == 0 {
		p.KeptBefore = true
		kept, err = storedBefore(ctx, b, c, file)
		if err == nil && o.taken != "" && !kept.Taken.Equal(k.Taken) {
			fmt.Fprintf(os.Stderr, "note: the time of --taken is not stored, as the photo was in the book before: add --replaces %d to store it\n", kept.ID)
		}
	}
	if err != nil {
		return err
	}
	if p.KeptBefore && o.names != nil && !slices.EqualFunc(kept.Pieces, o.names, func(k shadebook.Judged, name string) bool { return k.Name == name }) {
		fmt.Fprintf(os.Stderr, "note: the names of --called are not stored, as the photo was in the book before: add --replaces %d to store them\n", kept.ID)
	}
	p.Kept = kept.ID
	for _, piece := range kept.Pieces {
		p.KeptPieces = append(p.KeptPieces, piece.Name)
	}
	return nil
}

func storedBefore(ctx context.Context, b *shadebook.Book, c shadebook.Colour, file shadebook.PhotoFile) (shadebook.Check, error) {
	stored, err := b.StoredPhotos(ctx, "", c.Name)
	if err != nil {
		return shadebook.Check{}, err
	}
	return b.CheckWithID(ctx, stored[file.SHA256])
}

// naming returns what the pieces of a photo are called by their numbers: as typed, or as
// in the check whose place it takes, if that has as many, or after the photo, with the
// beginning of its hash where another photo of that name is in the book: another than
// itself, of which the check was dropped.
func (o *checkFlags) naming(ctx context.Context, b *shadebook.Book, c shadebook.Colour, p report.Photo, file shadebook.PhotoFile) (func(int) string, error) {
	pieces := len(p.Whole())
	if o.replaces != 0 && o.called == "" {
		before, err := b.CheckWithID(ctx, o.replaces)
		if err != nil {
			return nil, err
		}
		if len(before.Pieces) == pieces {
			return func(n int) string { return before.Pieces[n-1].Name }, nil
		}
	}
	if o.names != nil {
		if len(o.names) != pieces {
			return nil, refusal.New(nil, "name each piece in reading order, with commas between names",
				"--called %s: names: %d, pieces: %d; nothing is stored", o.called, len(o.names), pieces)
		}
		return func(n int) string { return o.names[n-1] }, nil
	}
	base := batch.BaseName(file.File)
	there, err := b.PieceSpelled(ctx, base+"/1")
	if err != nil {
		return nil, err
	}
	if there != "" {
		own, err := storedBefore(ctx, b, c, file)
		if err != nil && !errors.Is(err, shadebook.ErrNoRecord) {
			return nil, err
		}
		if len(own.Pieces) == 0 || own.Pieces[0].Name != there {
			base += "~" + file.SHA256[:4]
		}
	}
	return func(n int) string { return fmt.Sprintf("%s/%d", base, n) }, nil
}
