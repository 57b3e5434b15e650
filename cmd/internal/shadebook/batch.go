package shadebook

import (
	"context"
	"database/sql"
	"time"

	"evenhide/calibrate/refusal"
)

// Batch is a number of pieces of one colour that are approved together.
type Batch struct {
	ID     int64
	Name   string
	Colour string
	Opened time.Time
	By     string
	State  string // BatchOpen, Approved or Rejected: what the newest decision left it in
}

// States of a batch and what a decision says.
const (
	BatchOpen = "open"
	Approved  = "approved"
	Rejected  = "rejected"
	Reopened  = "reopened" // only a decision's: the batch is open again
)

// OpenBatch opens a batch; ID, Opened and State are set. ErrNameTaken, ErrNoRecord, ErrRefused.
func (b *Book) OpenBatch(ctx context.Context, batch Batch) (Batch, error) {
	name, err := aBatch.clean(batch.Name)
	if err == nil {
		err = texts(text{"by whom", batch.By})
	}
	if err != nil {
		return batch, err
	}
	batch.Name, batch.Opened, batch.State = name, now(), BatchOpen
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		c, err := aColour.find(ctx, tx, batch.Colour)
		if err != nil {
			return err
		}
		if err := aBatch.claim(ctx, tx, name); err != nil {
			return err
		}
		batch.Colour = c.name
		batch.ID, err = aBatch.added(tx.QueryRowContext(ctx, `INSERT INTO batch (name, colour_id, opened_at, opened_by)
			VALUES ($1, $2, $3, $4) ON CONFLICT (name) DO NOTHING RETURNING id`, name, c.id, micro(batch.Opened), batch.By), name)
		return err
	})
	return batch, err
}

// batchQuery finds batches in the state that their newest decision left them in.
const batchQuery = `SELECT b.id, b.name, c.name, b.opened_at, b.opened_by,
	COALESCE((SELECT d.says FROM decision d WHERE d.batch_id = b.id ORDER BY d.id DESC LIMIT 1), '` + BatchOpen + `')
	FROM batch b JOIN colour c ON c.id = b.colour_id`

func scanBatch(row *sql.Rows, batch *Batch) error {
	err := row.Scan(&batch.ID, &batch.Name, &batch.Colour, moment{&batch.Opened}, &batch.By, &batch.State)
	if batch.State == Reopened {
		batch.State = BatchOpen
	}
	return err
}

func batchWith(ctx context.Context, q querier, id int64) (Batch, error) {
	return one(collect(ctx, q, scanBatch, batchQuery+" WHERE b.id = $1", id))
}

// batchOf refuses a batch of another colour.
func batchOf(ctx context.Context, q querier, batch, c record) error {
	found, err := batchWith(ctx, q, batch.id)
	if err == nil && found.Colour != c.name {
		err = refusal.New(ErrRefused, "name the batch's colour or leave it out", "the batch %q is of the colour %q, not %q", batch.name, found.Colour, c.name)
	}
	return err
}

// TakesPhotos refuses more photos for a batch that was decided on. ErrDecided.
func (b Batch) TakesPhotos() error {
	if b.State == BatchOpen {
		return nil
	}
	return refusal.New(ErrDecided, "reopen it first, if more photos belong to it", "the batch %q is %s and takes no more photos", b.Name, b.State)
}

// Batches returns all batches, newest first.
func (b *Book) Batches(ctx context.Context) ([]Batch, error) {
	return list(ctx, b, scanBatch, batchQuery+" ORDER BY b.id DESC")
}

// BatchResult is what a batch holds.
type BatchResult struct {
	Batch     Batch
	Decisions []Decision // oldest first
	Checks    []Check    // those that count, oldest first, with their pieces
	Dropped   []Drop     // oldest first
	Moves     int64      // grows with each check, each dropped photo, each change of the colour and its swatch
	// Before is, by the ID of a check, the most pieces that one had whose place it took,
	// be it by way of others.
	Before map[int64]int
}

// BatchResult returns what a batch holds. ErrNoRecord.
func (b *Book) BatchResult(ctx context.Context, name string) (BatchResult, error) {
	return named(ctx, b, aBatch, name, func(ctx context.Context, q querier, id int64) (r BatchResult, err error) {
		if r.Batch, err = batchWith(ctx, q, id); err != nil {
			return r, err
		}
		if r.Decisions, err = decisions(ctx, q, id); err != nil {
			return r, err
		}
		if r.Checks, err = checks(ctx, q, "c.batch_id = $1 AND "+counting, oldestFirst, id); err != nil {
			return r, err
		}
		if r.Before, err = piecesBefore(ctx, q, id); err != nil {
			return r, err
		}
		if r.Dropped, err = drops(ctx, q, id); err != nil {
			return r, err
		}
		r.Moves, err = moves(ctx, q, id)
		return r, err
	})
}

func piecesBefore(ctx context.Context, q querier, batchID int64) (map[int64]int, error) {
	type check struct {
		id, corrects int64
		pieces       int
	}
	all, err := collect(ctx, q, func(row *sql.Rows, c *check) error { return row.Scan(&c.id, &c.corrects, &c.pieces) },
		`SELECT c.id, COALESCE(c.corrects, 0), COUNT(p.number) FROM photo_check c LEFT JOIN check_piece p ON p.check_id = c.id
		WHERE c.batch_id = $1 GROUP BY c.id, c.corrects ORDER BY c.id`, batchID)
	own, before := map[int64]int{}, map[int64]int{}
	for _, c := range all { // a check is older than the one that takes its place
		own[c.id] = c.pieces
		if c.corrects != 0 {
			before[c.id] = max(own[c.corrects], before[c.corrects])
		}
	}
	return before, err
}

// moves counts: of two checks that benches store at once the one with the lower ID may
// come in last.
func moves(ctx context.Context, q querier, batchID int64) (n int64, err error) {
	err = q.QueryRowContext(ctx, `SELECT COUNT(c.id) + COUNT(d.id)
		+ (SELECT COUNT(*) FROM colour_state s JOIN batch b ON b.colour_id = s.colour_id WHERE b.id = $1)
		+ (SELECT COUNT(*) FROM swatch s JOIN batch b ON b.colour_id = s.colour_id WHERE b.id = $1)
		FROM photo_check c LEFT JOIN photo_drop d ON d.check_id = c.id WHERE c.batch_id = $1`, batchID).Scan(&n)
	return n, err
}
