package shadebook

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"evenhide/calibrate/refusal"
)

// Piece is one item that is dyed.
type Piece struct {
	ID     int64
	Name   string
	Colour string
	Hide   string // "" when not said
	Batch  string // "" when it is in none
	Added  time.Time
}

// AddPiece adds a piece before its first check, which adds it otherwise; ID and
// Added are set. One of which all was taken back is as if it were new. ErrNameTaken,
// ErrNoRecord, ErrRefused.
func (b *Book) AddPiece(ctx context.Context, p Piece) (Piece, error) {
	name, err := aPiece.clean(p.Name)
	if err != nil {
		return p, err
	}
	p.Name, p.Added = name, now()
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		c, err := aColour.find(ctx, tx, p.Colour)
		if err != nil {
			return err
		}
		h, err := aHide.findAny(ctx, tx, p.Hide)
		if err != nil {
			return err
		}
		batch, err := aBatch.findAny(ctx, tx, p.Batch)
		if err == nil && batch.id != 0 {
			err = batchOf(ctx, tx, batch, c)
		}
		if err == nil {
			err = aPiece.claim(ctx, tx, name)
		}
		if err != nil {
			return err
		}
		p.Colour, p.Hide, p.Batch = c.name, h.name, batch.name
		p.ID, err = aPiece.added(tx.QueryRowContext(ctx, `INSERT INTO piece (name, colour_id, hide_id, batch_id, added_at)
			VALUES ($1, $2, $3, $4, $5) ON CONFLICT (name) DO NOTHING RETURNING id`,
			name, c.id, idOrNull(h.id), idOrNull(batch.id), micro(p.Added)), name)
		if errors.Is(err, ErrNameTaken) {
			p.ID, p.Added, err = b.anew(ctx, tx, name, c, h, batch, err)
		}
		return err
	})
	return p, err
}

// anew adds a piece whose name is taken, where all was taken back of the one that has it.
func (b *Book) anew(ctx context.Context, tx *sql.Tx, name string, c, h, batch record, taken error) (id int64, added time.Time, err error) {
	there, err := aPiece.find(ctx, tx, name)
	if err == nil {
		err = b.lock(ctx, tx, aPiece, there.id, alone)
	}
	if err != nil {
		return 0, added, err
	}
	switch back, err := takenBack(ctx, tx, there.id); {
	case err != nil:
		return 0, added, err
	case !back:
		return 0, added, taken
	}
	err = tx.QueryRowContext(ctx, "UPDATE piece SET colour_id = $1, hide_id = $2, batch_id = $3 WHERE id = $4 RETURNING added_at",
		c.id, idOrNull(h.id), idOrNull(batch.id), there.id).Scan(moment{&added})
	return there.id, added, err
}

// takenBack tells whether a piece has checks or coats that were kept or noted by mistake and
// were dropped, and nothing else. It must be locked alone.
func takenBack(ctx context.Context, q querier, id int64) (bool, error) {
	var counts, dropped int
	err := q.QueryRowContext(ctx, `SELECT
		(SELECT COUNT(*) FROM piece WHERE id = $1 AND batch_id IS NOT NULL)
		+ (SELECT COUNT(*) FROM check_piece p JOIN photo_check c ON c.id = p.check_id WHERE p.piece_id = $1 AND `+counting+`)
		+ (SELECT COUNT(*) FROM coat t WHERE t.piece_id = $1 AND `+notDropped+`),
		(SELECT COUNT(*) FROM check_piece p JOIN photo_drop d ON d.check_id = p.check_id WHERE p.piece_id = $1)
		+ (SELECT COUNT(*) FROM coat t JOIN coat_drop d ON d.coat_id = t.id WHERE t.piece_id = $1)`, id).Scan(&counts, &dropped)
	return counts == 0 && dropped > 0, err
}

// PieceNamed returns a piece. ErrNoRecord.
func (b *Book) PieceNamed(ctx context.Context, name string) (Piece, error) {
	return named(ctx, b, aPiece, name, func(ctx context.Context, q querier, id int64) (Piece, error) {
		return one(collect(ctx, q, func(row *sql.Rows, p *Piece) error {
			return row.Scan(&p.ID, &p.Name, &p.Colour, &p.Hide, &p.Batch, moment{&p.Added})
		}, `SELECT p.id, p.name, c.name, COALESCE(h.name, ''), COALESCE(b.name, ''), p.added_at
			FROM piece p JOIN colour c ON c.id = p.colour_id
			LEFT JOIN hide h ON h.id = p.hide_id LEFT JOIN batch b ON b.id = p.batch_id WHERE p.id = $1`, id))
	})
}

// PieceSpelled returns how the book writes a piece's name; "" when there is none of
// that name, in any case and with any spaces.
func (b *Book) PieceSpelled(ctx context.Context, name string) (written string, err error) {
	err = b.read(ctx, func(ctx context.Context, tx *sql.Tx) error {
		written, err = aPiece.spelled(ctx, tx, name)
		return err
	})
	return written, err
}

// PieceChecks returns the checks that a piece was judged in and that count,
// newest first, each with all of its pieces. ErrNoRecord.
func (b *Book) PieceChecks(ctx context.Context, piece string) ([]Check, error) {
	return named(ctx, b, aPiece, piece, func(ctx context.Context, q querier, id int64) ([]Check, error) {
		return checks(ctx, q, "c.id IN (SELECT check_id FROM check_piece WHERE piece_id = $1) AND "+counting, newestFirst, id)
	})
}

// pieceFor returns the ID of the piece that a check judged, and adds a new one. A
// piece of another colour or batch is another piece, whatever its name, unless all that
// was kept of it was taken back.
func (b *Book) pieceFor(ctx context.Context, tx *sql.Tx, name string, c, batch record, at time.Time) (int64, error) {
	if err := aPiece.claim(ctx, tx, name); err != nil {
		return 0, err
	}
	var id, colourID int64
	err := tx.QueryRowContext(ctx, `INSERT INTO piece (name, colour_id, batch_id, added_at) VALUES ($1, $2, $3, $4)
		ON CONFLICT (name) DO NOTHING RETURNING id`, name, c.id, idOrNull(batch.id), micro(at)).Scan(&id)
	if !errors.Is(err, sql.ErrNoRows) {
		return id, err
	}
	there, err := aPiece.find(ctx, tx, name)
	if err == nil {
		err = b.lock(ctx, tx, aPiece, there.id, alone) // it stays what it is meanwhile
	}
	if err != nil {
		return 0, err
	}
	var batchID sql.NullInt64
	if err := tx.QueryRowContext(ctx, "SELECT colour_id, batch_id FROM piece WHERE id = $1", there.id).Scan(&colourID, &batchID); err != nil {
		return 0, err
	}
	if colourID != c.id {
		back, err := takenBack(ctx, tx, there.id)
		if err == nil && !back {
			err = refusal.New(ErrRefused, "give this piece another name", "the piece %q is in the book with another colour than %q", name, c.name)
		}
		if err != nil {
			return 0, err
		}
	}
	if batchID.Valid && batch.id != 0 && batchID.Int64 != batch.id {
		return 0, refusal.New(ErrRefused, "give this piece another name", "the piece %q is in the book with another batch than %q", name, batch.name)
	}
	if colourID != c.id || batch.id != 0 && !batchID.Valid {
		_, err = tx.ExecContext(ctx, "UPDATE piece SET colour_id = $1, batch_id = COALESCE(batch_id, $2) WHERE id = $3", c.id, idOrNull(batch.id), there.id)
	}
	return there.id, err
}
