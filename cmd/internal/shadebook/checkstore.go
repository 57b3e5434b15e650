package shadebook

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"slices"

	"evenhide/calibrate/refusal"
)

// AddCheck stores a check with its pieces and evidence, all or nothing; ID, Stored
// and the pieces' PieceID are set. Kind "" is OfPieces. ErrStored when the same photo is
// stored for the same batch, or loose for the same colour or bottle, unless it corrects a
// check that it did not correct before, or the loose one was dropped, which it then
// corrects as back tells; ErrNameTaken for a piece that counts in another photo of the
// batch; ErrDecided, ErrNoRecord, ErrRefused (among others for a piece of another colour
// or batch).
func (b *Book) AddCheck(ctx context.Context, c Check, e Evidence) (Check, error) {
	c, err := c.check()
	if err == nil {
		err = e.check()
	}
	if err != nil {
		return c, err
	}
	c.Stored = now()
	asked := c
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) error { c = asked; return b.addCheck(ctx, tx, &c, e) })
	if errors.Is(err, ErrUnsure) {
		return b.sure(ctx, asked, e, err)
	}
	return c, err
}

// sure finds out whether a check was stored, and stores it if it was not: that is
// safe, because no photo is stored twice.
func (b *Book) sure(ctx context.Context, asked Check, e Evidence, unsure error) (Check, error) {
	c := asked
	err := b.write(ctx, func(ctx context.Context, tx *sql.Tx) error { c = asked; return b.addCheck(ctx, tx, &c, e) })
	if !errors.Is(err, ErrStored) {
		return c, err
	}
	ids, err := list(ctx, b, func(row *sql.Rows, id *int64) error { return row.Scan(id) },
		"SELECT id FROM photo_check WHERE sha256 = $1 AND stored_at = $2", c.Photo.SHA256, micro(c.Stored))
	if err != nil || len(ids) != 1 {
		return c, errors.Join(unsure, err)
	}
	return b.CheckWithID(ctx, ids[0])
}

// addCheck stores c with what belongs to it, and sets its IDs.
func (b *Book) addCheck(ctx context.Context, tx *sql.Tx, c *Check, e Evidence) error {
	scope, err := b.scopeOf(ctx, tx, c)
	if err != nil {
		return err
	}
	switch {
	case c.Corrects != 0:
		err = scope.mayCorrect(ctx, tx, c)
	case scope.batch.id == 0:
		c.Corrects, err = scope.back(ctx, tx, c)
	}
	if err != nil {
		return err
	}
	err = tx.QueryRowContext(ctx, `INSERT INTO photo_check
		(kind, colour_id, batch_id, bottle_id, file, sha256, taken_at, camera, problem, reference, stored_at, corrects)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12) ON CONFLICT DO NOTHING RETURNING id`,
		c.Kind, idOrNull(scope.colour.id), idOrNull(scope.batch.id), idOrNull(scope.bottle.id), c.Photo.File, c.Photo.SHA256,
		micro(c.Taken), c.Camera, c.Problem, orNull(c.Reference), micro(c.Stored), idOrNull(c.Corrects)).Scan(&c.ID)
	if errors.Is(err, sql.ErrNoRows) {
		return stored(c.Photo)
	}
	for i := range c.Pieces {
		if err == nil {
			err = c.Pieces[i].store(ctx, b, tx, c, scope)
		}
	}
	if err != nil {
		return err
	}
	var picture any
	if len(e.Picture) > 0 {
		picture = e.Picture
	}
	var result bytes.Buffer
	if err := json.Compact(&result, e.Result); err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO check_evidence (check_id, result, picture) VALUES ($1, $2, $3)", c.ID, result.String(), picture)
	return err
}

func stored(p PhotoFile) error {
	return refusal.New(ErrStored, "a photo counts once", "%q: this photo is in the book already", p.File)
}

// scope is what a check is stored for.
type scope struct{ colour, batch, bottle record }

// scopeOf finds what c is stored for, and holds decisions on its batch up.
func (b *Book) scopeOf(ctx context.Context, tx *sql.Tx, c *Check) (s scope, err error) {
	if s.batch, err = aBatch.findAny(ctx, tx, c.Batch); err != nil {
		return s, err
	}
	if s.batch.id != 0 {
		strength := shared
		if c.Corrects != 0 {
			strength = alone // one at a time
		}
		if err := b.lock(ctx, tx, aBatch, s.batch.id, strength); err != nil {
			return s, err
		}
		batch, err := batchWith(ctx, tx, s.batch.id)
		if err != nil {
			return s, err
		}
		if err := batch.TakesPhotos(); err != nil {
			return s, err
		}
		if c.Colour == "" {
			c.Colour = batch.Colour
		}
	}
	if s.colour, err = aColour.findAny(ctx, tx, c.Colour); err != nil {
		return s, err
	}
	if s.batch.id != 0 {
		if err := batchOf(ctx, tx, s.batch, s.colour); err != nil {
			return s, err
		}
	}
	s.bottle, err = aBottle.findAny(ctx, tx, c.Bottle)
	c.Colour, c.Batch, c.Bottle = s.colour.name, s.batch.name, s.bottle.name
	return s, err
}

// placed is a check by what came of it.
type placed struct {
	id, drops    int64
	corrects, by int64 // whose place it took, and which took its own; 0 for none
}

func placedWhere(ctx context.Context, tx *sql.Tx, where string, args ...any) ([]placed, error) {
	return collect(ctx, tx, func(row *sql.Rows, c *placed) error { return row.Scan(&c.id, &c.drops, &c.corrects, &c.by) },
		`SELECT c.id, (SELECT COUNT(*) FROM photo_drop d WHERE d.check_id = c.id), COALESCE(c.corrects, 0),
		COALESCE((SELECT MAX(l.id) FROM photo_check l WHERE l.corrects = c.id), 0)
		FROM photo_check c WHERE `+where+string(newestFirst), args...)
}

func among(all []placed, id int64) int {
	return slices.IndexFunc(all, func(c placed) bool { return c.id == id })
}

// inOwn tells whether a check of a photo took the place of none but of that photo, of
// which all are.
func (c placed) inOwn(all []placed) bool {
	for c.corrects != 0 {
		i := among(all, c.corrects)
		if i < 0 {
			return false
		}
		c = all[i]
	}
	return true
}

// back returns the dropped check that c takes the place of, as its photo is kept again: one
// of the same photo, or of one that had taken this photo's place. 0 for none, and where the
// dropped one had taken another photo's place: that photo may come back to it. ErrStored
// where the photo counts, or another in its place.
func (s scope) back(ctx context.Context, tx *sql.Tx, c *Check) (int64, error) {
	all, err := placedWhere(ctx, tx, `c.sha256 = $1 AND c.kind = $2 AND COALESCE(c.colour_id, 0) = $3 AND c.batch_id IS NULL AND COALESCE(c.bottle_id, 0) = $4`,
		c.Photo.SHA256, c.Kind, s.colour.id, s.bottle.id)
	if err != nil {
		return 0, err
	}
	gone, replaced := int64(0), int64(0) // the newest that was dropped, and of another photo in its place
	for _, of := range all {
		switch {
		case of.by == 0 && of.drops == 0:
			return 0, stored(c.Photo)
		case of.by == 0 && of.inOwn(all):
			gone = max(gone, of.id)
		case of.drops == 0 && among(all, of.by) < 0:
			replaced = max(replaced, of.by)
		}
	}
	if gone != 0 || replaced == 0 {
		return gone, nil
	}
	for {
		last, err := one(placedWhere(ctx, tx, "c.id = $1", replaced))
		switch {
		case err != nil:
			return 0, err
		case last.by != 0:
			replaced = last.by
		case last.drops == 0:
			return 0, stored(c.Photo)
		default:
			return last.id, nil
		}
	}
}

// mayCorrect refuses to correct a check of something else or one that does not count, and a photo that counts in another check.
func (s scope) mayCorrect(ctx context.Context, tx *sql.Tx, c *Check) error {
	count := func(of string, args ...any) (n int, err error) {
		err = tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM photo_check c WHERE c.kind = $1 AND COALESCE(c.colour_id, 0) = $2
			AND COALESCE(c.batch_id, 0) = $3 AND COALESCE(c.bottle_id, 0) = $4 AND `+of,
			append([]any{c.Kind, s.colour.id, s.batch.id, s.bottle.id}, args...)...).Scan(&n)
		return n, err
	}
	which := counting
	if s.batch.id != 0 {
		which = uncorrected // a dropped one may be taken back
	}
	n, err := count(which+" AND c.id = $5", c.Corrects)
	if err == nil && n == 0 {
		return refusal.New(ErrNoRecord, "correct the newest check of what you correct",
			"%q: there is no check %d of the same colour and batch that counts", c.Photo.File, c.Corrects)
	}
	if err == nil {
		n, err = count(counting+" AND c.sha256 = $5 AND c.id <> $6", c.Photo.SHA256, c.Corrects)
	}
	if err == nil && n > 0 {
		err = stored(c.Photo)
	}
	return err
}

// mayCount refuses a piece that counts in another photo of the batch: two benches may
// check photos of one name at once.
func (p *Judged) mayCount(ctx context.Context, tx *sql.Tx, c *Check, batch record) error {
	n := 0
	err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM check_piece p JOIN photo_check c ON c.id = p.check_id
		WHERE p.piece_id = $1 AND c.batch_id = $2 AND c.id <> $3 AND `+counting, p.PieceID, batch.id, c.ID).Scan(&n)
	if err == nil && n > 0 {
		err = refusal.New(ErrNameTaken, "give this piece another name", "the piece %q is in another photo of the batch %q", p.Name, batch.name)
	}
	return err
}

// store stores one piece of the check c.
func (p *Judged) store(ctx context.Context, b *Book, tx *sql.Tx, c *Check, s scope) (err error) {
	if c.Kind == OfPieces {
		if p.PieceID, err = b.pieceFor(ctx, tx, p.Name, s.colour, s.batch, c.Stored); err == nil {
			err = p.mayCount(ctx, tx, c, s.batch)
		}
		if err != nil {
			return err
		}
	}
	figures := make([]any, 10)
	if m := p.Measured; m != nil {
		figures = []any{m.Lab.L, m.Lab.A, m.Lab.B, asJSON{m.Cov}, m.DE00, m.U, m.Interval[0], m.Interval[1], m.Blotch, m.Strength}
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO check_piece
		(check_id, number, piece_id, name, verdict, l, a, b, cov, de00, u, low, high, blotch, strength)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)`,
		append([]any{c.ID, p.Number, idOrNull(p.PieceID), p.Name, p.Verdict}, figures...)...)
	return err
}
