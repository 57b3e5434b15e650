package shadebook

import (
	"context"
	"database/sql"
	"slices"
	"time"

	"evenhide/calibrate/refusal"
)

// Hide is a hide or a lot of them.
type Hide struct {
	ID          int64
	Name        string
	Lot         string
	ThicknessMM float64 // 0 is unknown
	Finish      string  // Smooth, Milled, Embossed, or "" when unknown
	Notes       string
	Added       time.Time
}

// How a hide's grain is finished.
const (
	Smooth   = "smooth"
	Milled   = "milled"
	Embossed = "embossed"
)

// AddHide adds a hide; ID and Added are set. ErrNameTaken, ErrRefused.
func (b *Book) AddHide(ctx context.Context, h Hide) (Hide, error) {
	name, err := aHide.clean(h.Name)
	if err == nil {
		err = texts(text{"lot", h.Lot}, text{"notes", h.Notes})
	}
	if err == nil {
		err = numbers(number{"thickness in mm", h.ThicknessMM, 0, 100, false})
	}
	if finishes := []string{"", Smooth, Milled, Embossed}; err == nil && !slices.Contains(finishes, h.Finish) {
		err = refusal.New(ErrRefused, "", "finish of the hide: got %q, wanted %s, %s or %s", h.Finish, Smooth, Milled, Embossed)
	}
	if err != nil {
		return h, err
	}
	h.Name, h.Added = name, now()
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) (err error) {
		if err = aHide.claim(ctx, tx, name); err != nil {
			return err
		}
		h.ID, err = aHide.added(tx.QueryRowContext(ctx, `INSERT INTO hide (name, lot, thickness_mm, finish, notes, added_at)
			VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (name) DO NOTHING RETURNING id`,
			name, h.Lot, h.ThicknessMM, h.Finish, h.Notes, micro(h.Added)), name)
		return err
	})
	return h, err
}

// Hides returns all hides by name.
func (b *Book) Hides(ctx context.Context) ([]Hide, error) {
	found, err := list(ctx, b, func(row *sql.Rows, h *Hide) error {
		return row.Scan(&h.ID, &h.Name, &h.Lot, &h.ThicknessMM, &h.Finish, &h.Notes, moment{&h.Added})
	}, "SELECT id, name, lot, thickness_mm, finish, notes, added_at FROM hide")
	return byName(found, func(h Hide) string { return h.Name }), err
}
