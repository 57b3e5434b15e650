package shadebook

import (
	"context"
	"database/sql"
	"slices"
	"time"

	"evenhide/calibrate/refusal"
)

// Decision is an approval, a rejection or a reopening.
type Decision struct {
	ID       int64
	Batch    string
	Says     string // Approved, Rejected or Reopened
	By       string
	At       time.Time
	Why      string
	Corrects int64 // ID of the decision that this one takes the place of; 0 for the first, or the first since the batch was reopened
	// What was decided on: the ID of the State that pieces were judged by, and what each
	// photo that counts was judged to show. 0 and nil of a reopening, and of a decision
	// of a time when they were not kept.
	StateID  int64
	Verdicts []Verdicts
}

// Verdicts is what one photo of a batch was judged to show.
type Verdicts struct {
	Check  int64          `json:"check"`
	Why    string         `json:"why"`    // why the photo, or a piece that it should show, counts as not judged; "" when all does
	Pieces []PieceVerdict `json:"pieces"` // those that count
}

// PieceVerdict is the verdict on the piece of that number in its check.
type PieceVerdict struct {
	Number  int    `json:"number"`
	Verdict string `json:"verdict"`
}

// Decide stores a decision; ID and At are set, and Corrects where it is 0 and the batch
// was decided on before. seen tells what of the batch the one who decides has seen
// (BatchResult.Moves): ErrMoved when it has moved since. ErrDecided when the batch is in that state already,
// ErrNoRecord, ErrRefused.
func (b *Book) Decide(ctx context.Context, d Decision, seen int64) (Decision, error) {
	err := texts(text{"by whom", d.By}, text{"reason", d.Why})
	if err == nil && !slices.Contains([]string{Approved, Rejected, Reopened}, d.Says) {
		err = refusal.New(ErrRefused, "", "a decision says %q, wanted %s, %s or %s", d.Says, Approved, Rejected, Reopened)
	}
	if err != nil {
		return d, err
	}
	asked := d.Corrects
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		batch, err := aBatch.find(ctx, tx, d.Batch)
		if err == nil {
			err = b.lock(ctx, tx, aBatch, batch.id, alone) // no check comes in meanwhile
		}
		if err == nil {
			err = b.lockColourOf(ctx, tx, batch) // nor does the colour change
		}
		if d.At = now(); err == nil {
			d.Corrects = asked
			err = d.allowed(ctx, tx, batch, seen)
		}
		if err != nil {
			return err
		}
		d.Batch = batch.name
		var verdicts any
		if d.StateID != 0 {
			verdicts = asJSON{d.Verdicts}
		}
		return tx.QueryRowContext(ctx, `INSERT INTO decision (batch_id, says, decided_by, at, why, corrects, state_id, verdicts)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id`,
			batch.id, d.Says, d.By, micro(d.At), d.Why, idOrNull(d.Corrects), idOrNull(d.StateID), verdicts).Scan(&d.ID)
	})
	return d, err
}

// lockColourOf keeps the settings of a batch's colour as they are.
func (b *Book) lockColourOf(ctx context.Context, tx *sql.Tx, batch record) error {
	found, err := batchWith(ctx, tx, batch.id)
	if err != nil {
		return err
	}
	c, err := aColour.find(ctx, tx, found.Colour)
	if err != nil {
		return err
	}
	return b.lock(ctx, tx, aColour, c.id, shared)
}

// allowed tells whether the batch is as the one who decides has seen it, and finds the
// decision that this one takes the place of.
func (d *Decision) allowed(ctx context.Context, tx *sql.Tx, batch record, seen int64) error {
	found, err := batchWith(ctx, tx, batch.id)
	if err != nil {
		return err
	}
	if d.Says == found.State || d.Says == Reopened && found.State == BatchOpen {
		return refusal.New(ErrDecided, "evenhide batch show tells by whom and when", "the batch %q is %s already", batch.name, found.State)
	}
	last, err := moves(ctx, tx, batch.id)
	if err != nil {
		return err
	}
	if last > seen {
		return refusal.New(ErrMoved, "look at the batch again, then decide", "the batch %q or its colour has changed while you decided", batch.name)
	}
	if d.Corrects == 0 && found.State == BatchOpen {
		return nil
	}
	before, err := decisions(ctx, tx, batch.id)
	if err == nil && d.Corrects == 0 {
		d.Corrects = before[len(before)-1].ID
	}
	if err == nil && !slices.ContainsFunc(before, func(b Decision) bool { return b.ID == d.Corrects }) {
		err = refusal.New(ErrNoRecord, "evenhide batch show lists its decisions", "the batch %q has no decision %d to correct", batch.name, d.Corrects)
	}
	return err
}

// decisions returns a batch's decisions, oldest first.
func decisions(ctx context.Context, q querier, batchID int64) ([]Decision, error) {
	return collect(ctx, q, func(row *sql.Rows, d *Decision) error {
		return row.Scan(&d.ID, &d.Batch, &d.Says, &d.By, moment{&d.At}, &d.Why, &d.Corrects, &d.StateID, asJSON{&d.Verdicts})
	}, `SELECT d.id, b.name, d.says, d.decided_by, d.at, d.why, COALESCE(d.corrects, 0), COALESCE(d.state_id, 0), d.verdicts
		FROM decision d JOIN batch b ON b.id = d.batch_id WHERE d.batch_id = $1 ORDER BY d.id`, batchID)
}
