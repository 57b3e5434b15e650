package shadebook

import (
	"context"
	"database/sql"
	"time"

	"evenhide/calibrate/refusal"
)

// Drop takes a photo out of a batch that it is not of, or a check back that was kept by
// mistake. A check of the same photo that corrects the dropped one takes it back; one of a
// photo whose place it had taken gives that one its place again.
type Drop struct {
	ID       int64
	Check    int64 // its ID: it no longer counts
	Photo    PhotoFile
	By       string
	At       time.Time
	Why      string
	Over     []string // SHA-256 of the photos whose place it had taken, the newest first
	Replaced bool     // one of them has its place again
}

// DropPhoto drops the photo of a batch's check; ID, Photo and At are set. ErrDecided,
// ErrNoRecord also for a check of the batch that does not count, ErrRefused.
func (b *Book) DropPhoto(ctx context.Context, batchName string, d Drop) (Drop, error) {
	if err := texts(text{"by whom", d.By}, text{"reason", d.Why}); err != nil {
		return d, err
	}
	d.At = now()
	err := b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		r, err := aBatch.find(ctx, tx, batchName)
		if err == nil {
			err = b.lock(ctx, tx, aBatch, r.id, alone) // nobody decides on it or replaces the photo meanwhile
		}
		if err != nil {
			return err
		}
		batch, err := batchWith(ctx, tx, r.id)
		if err != nil {
			return err
		}
		if batch.State != BatchOpen {
			return refusal.New(ErrDecided, "reopen it first", "the batch %q is %s and gives no photo back", batch.Name, batch.State)
		}
		c, err := one(checks(ctx, tx, "c.id = $1 AND c.batch_id = $2 AND "+counting, oldestFirst, d.Check, r.id))
		if err != nil {
			return noCheck(d.Check, err)
		}
		d.Photo = c.Photo
		return tx.QueryRowContext(ctx, "INSERT INTO photo_drop (check_id, dropped_by, at, why) VALUES ($1, $2, $3, $4) RETURNING id",
			d.Check, d.By, micro(d.At), d.Why).Scan(&d.ID)
	})
	return d, err
}

// drops returns those of a batch that hold: no later check shows the photo. Oldest first.
func drops(ctx context.Context, q querier, batchID int64) ([]Drop, error) {
	type check struct {
		id, corrects int64
		sha256       string
	}
	dropped, err := collect(ctx, q, func(row *sql.Rows, d *Drop) error {
		return row.Scan(&d.ID, &d.Check, &d.Photo.File, &d.Photo.SHA256, &d.By, moment{&d.At}, &d.Why)
	}, `SELECT d.id, d.check_id, c.file, c.sha256, d.dropped_by, d.at, d.why FROM photo_drop d JOIN photo_check c ON c.id = d.check_id
		WHERE c.batch_id = $1 AND NOT EXISTS
			(SELECT 1 FROM photo_check later WHERE later.batch_id = c.batch_id AND later.sha256 = c.sha256 AND later.id > c.id)
		ORDER BY d.id`, batchID)
	if err != nil || len(dropped) == 0 {
		return dropped, err
	}
	all, err := collect(ctx, q, func(row *sql.Rows, c *check) error { return row.Scan(&c.id, &c.corrects, &c.sha256) },
		"SELECT id, COALESCE(corrects, 0), sha256 FROM photo_check WHERE batch_id = $1", batchID)
	with, corrected := map[int64]check{}, map[int64]bool{}
	for _, c := range all {
		with[c.id], corrected[c.corrects] = c, true
	}
	for i := range dropped {
		d := &dropped[i]
		d.Replaced = corrected[d.Check]
		for id := with[d.Check].corrects; id != 0 && id > with[id].corrects; id = with[id].corrects {
			if with[id].sha256 != d.Photo.SHA256 {
				d.Over = append(d.Over, with[id].sha256)
			}
		}
	}
	return dropped, err
}
