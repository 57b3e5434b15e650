package shadebook

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"evenhide/calibrate/refusal"
)

// uncorrected leaves out the checks c that another takes the place of.
const uncorrected = "NOT EXISTS (SELECT 1 FROM photo_check later WHERE later.corrects = c.id)"

// counting leaves out the dropped ones as well.
const counting = uncorrected + " AND NOT EXISTS (SELECT 1 FROM photo_drop gone WHERE gone.check_id = c.id)"

type direction string

const (
	oldestFirst direction = " ORDER BY c.id"
	newestFirst direction = " ORDER BY c.id DESC"
)

// checks returns the checks c that where finds, with their pieces and without evidence.
func checks(ctx context.Context, q querier, where string, order direction, args ...any) ([]Check, error) {
	found, err := collect(ctx, q, func(row *sql.Rows, c *Check) error {
		return row.Scan(&c.ID, &c.Kind, &c.Colour, &c.Batch, &c.Bottle, &c.Photo.File, &c.Photo.SHA256, moment{&c.Taken},
			&c.Camera, &c.Problem, asJSON{&c.Reference}, moment{&c.Stored}, &c.Corrects)
	}, `SELECT c.id, c.kind, COALESCE(k.name, ''), COALESCE(b.name, ''), COALESCE(t.name, ''), c.file, c.sha256, c.taken_at,
		c.camera, c.problem, c.reference, c.stored_at, COALESCE(c.corrects, 0) FROM photo_check c
		LEFT JOIN colour k ON k.id = c.colour_id LEFT JOIN batch b ON b.id = c.batch_id LEFT JOIN bottle t ON t.id = c.bottle_id
		WHERE `+where+string(order), args...)
	if err != nil {
		return nil, err
	}
	type judged struct {
		check int64
		Judged
	}
	pieces, err := collect(ctx, q, func(row *sql.Rows, p *judged) error {
		return scanJudged(row, &p.check, &p.Judged)
	}, `SELECT p.check_id, p.number, COALESCE(p.piece_id, 0), p.name, p.verdict,
		p.l, p.a, p.b, p.cov, p.de00, p.u, p.low, p.high, p.blotch, p.strength
		FROM photo_check c JOIN check_piece p ON p.check_id = c.id WHERE `+where+string(order)+", p.number", args...)
	for i := range found { // both are in the same order
		for len(pieces) > 0 && pieces[0].check == found[i].ID {
			found[i].Pieces = append(found[i].Pieces, pieces[0].Judged)
			pieces = pieces[1:]
		}
	}
	return found, err
}

func scanJudged(row *sql.Rows, check *int64, p *Judged) error {
	var m Measured
	var l *float64 // NULL with all the others when it could not be measured
	var a, b, de, u, low, high, blotch sql.NullFloat64
	err := row.Scan(check, &p.Number, &p.PieceID, &p.Name, &p.Verdict, &l, &a, &b, asJSON{&m.Cov}, &de, &u, &low, &high, &blotch, &m.Strength)
	if err != nil || l == nil {
		return err
	}
	m.Lab.L, m.Lab.A, m.Lab.B = *l, a.Float64, b.Float64
	m.DE00, m.U, m.Interval, m.Blotch = de.Float64, u.Float64, [2]float64{low.Float64, high.Float64}, blotch.Float64
	p.Measured = &m
	return nil
}

// CheckWithID returns a check. ErrNoRecord.
func (b *Book) CheckWithID(ctx context.Context, id int64) (c Check, err error) {
	err = b.read(ctx, func(ctx context.Context, tx *sql.Tx) error {
		c, err = one(checks(ctx, tx, "c.id = $1", oldestFirst, id))
		return noCheck(id, err)
	})
	return c, err
}

func noCheck(id int64, err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return refusal.New(ErrNoRecord, "evenhide colour show, piece show and bottle show list the checks with their numbers", "there is no check %d in the book", id)
	}
	return err
}

// Evidence returns what a check left. ErrNoRecord.
func (b *Book) Evidence(ctx context.Context, check int64) (e Evidence, err error) {
	err = b.read(ctx, func(ctx context.Context, tx *sql.Tx) error {
		var result string
		err := tx.QueryRowContext(ctx, "SELECT result, picture FROM check_evidence WHERE check_id = $1", check).Scan(&result, &e.Picture)
		if err == nil && !json.Valid([]byte(result)) {
			err = fmt.Errorf("the result of check %d is no JSON", check)
		}
		e.Result = []byte(result)
		return noCheck(check, err)
	})
	return e, err
}

// DabsOfPhoto returns the checks OfDabs of a photo that count, of whatever bottle, oldest
// first.
func (b *Book) DabsOfPhoto(ctx context.Context, p PhotoFile) (out []Check, err error) {
	err = b.read(ctx, func(ctx context.Context, tx *sql.Tx) error {
		out, err = checks(ctx, tx, "c.sha256 = $1 AND c.kind = $2 AND "+counting, oldestFirst, p.SHA256, OfDabs)
		return err
	})
	return out, err
}

// StoredPhotos returns the checks of pieces stored for a batch, or with batch "" loose
// for a colour: the ID of the newest check of each photo by the photo's SHA-256. ErrNoRecord.
func (b *Book) StoredPhotos(ctx context.Context, batch, colourName string) (out map[string]int64, err error) {
	k, name, where := aBatch, batch, "batch_id = $1"
	if batch == "" {
		k, name, where = aColour, colourName, "batch_id IS NULL AND colour_id = $1"
	}
	return named(ctx, b, k, name, func(ctx context.Context, q querier, id int64) (map[string]int64, error) {
		type photo struct {
			sha256 string
			check  int64
		}
		photos, err := collect(ctx, q, func(row *sql.Rows, p *photo) error { return row.Scan(&p.sha256, &p.check) },
			"SELECT sha256, MAX(id) FROM photo_check WHERE kind = '"+OfPieces+"' AND "+where+" GROUP BY sha256", id)
		out := map[string]int64{}
		for _, p := range photos {
			out[p.sha256] = p.check
		}
		return out, err
	})
}
