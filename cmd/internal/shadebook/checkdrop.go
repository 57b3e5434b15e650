package shadebook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"evenhide/calibrate/refusal"
)

// DropCheck takes back the check d.Check, which was kept by mistake and is of no batch, and
// returns it: it no longer counts, and its photo may be kept again. ErrNoRecord also for
// one that does not count, ErrRefused also for one of a batch.
func (b *Book) DropCheck(ctx context.Context, d Drop) (c Check, err error) {
	if err := texts(text{"by whom", d.By}, text{"reason", d.Why}); err != nil {
		return c, err
	}
	d.At = now()
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		if c, err = one(checks(ctx, tx, "c.id = $1", oldestFirst, d.Check)); err != nil {
			return noCheck(d.Check, err)
		}
		if c.Batch != "" {
			return refusal.New(ErrRefused, fmt.Sprintf("evenhide batch drop %q PHOTO --reason TEXT takes its photo out; a batch that was decided on is reopened first", c.Batch),
				"check %d is of the batch %q", c.ID, c.Batch)
		}
		var later int64
		if err := tx.QueryRowContext(ctx, "SELECT COALESCE(MAX(id), 0) FROM photo_check WHERE corrects = $1", c.ID).Scan(&later); err != nil {
			return err
		}
		if later != 0 {
			return refusal.New(ErrNoRecord, "drop that one, if it was kept by mistake", "check %d counts no more: check %d took its place", c.ID, later)
		}
		err := tx.QueryRowContext(ctx, `INSERT INTO photo_drop (check_id, dropped_by, at, why) VALUES ($1, $2, $3, $4)
			ON CONFLICT (check_id) DO NOTHING RETURNING id`, c.ID, d.By, micro(d.At), d.Why).Scan(&d.ID)
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		before := Drop{}
		if err := tx.QueryRowContext(ctx, "SELECT dropped_by, at FROM photo_drop WHERE check_id = $1", c.ID).Scan(&before.By, moment{&before.At}); err != nil {
			return err
		}
		return refusal.New(ErrNoRecord, "its photo may be kept again", "check %d was dropped already, by %s on %s", c.ID, before.By, before.At.Local().Format(clock))
	})
	return c, err
}
