package shadebook

import (
	"context"
	"database/sql"
	"slices"
	"time"

	"evenhide/calibrate/refusal"
)

// CoatDrop takes a coat back that was noted by mistake. Its number is free for another:
// those of the coats after it stay, as they may be written on the piece.
type CoatDrop struct {
	ID   int64
	Coat Coat
	By   string
	At   time.Time
	Why  string // may be ""
}

// DropCoat drops the coat of a number of a piece; ID, Coat and At are set. ErrNoRecord
// also for one that was dropped already, ErrRefused.
func (b *Book) DropCoat(ctx context.Context, piece string, number int, d CoatDrop) (CoatDrop, error) {
	if err := texts(text{"by whom", d.By}, text{"reason", d.Why}); err != nil {
		return d, err
	}
	d.At = now()
	err := b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		p, err := aPiece.find(ctx, tx, piece)
		if err == nil {
			err = b.lock(ctx, tx, aPiece, p.id, alone) // nobody drops it, or notes another, meanwhile
		}
		if err != nil {
			return err
		}
		noted, err := coatsOf(ctx, tx, p.id)
		if err != nil {
			return err
		}
		c := noted.with(number)
		if c == nil {
			return noted.noCoat(p.name, number)
		}
		d.Coat = *c
		return tx.QueryRowContext(ctx, "INSERT INTO coat_drop (coat_id, dropped_by, at, why) VALUES ($1, $2, $3, $4) RETURNING id",
			c.ID, d.By, micro(d.At), d.Why).Scan(&d.ID)
	})
	return d, err
}

func (noted coats) noCoat(piece string, number int) error {
	for _, d := range slices.Backward(noted.dropped) {
		if d.Coat.Number == number {
			return refusal.New(ErrNoRecord, "evenhide coat add PIECE --number N notes another in its place",
				"coat %d of %q was dropped already, by %s on %s", number, piece, d.By, d.At.Local().Format(clock))
		}
	}
	return refusal.New(ErrNoRecord, "evenhide piece show lists its coats with their numbers", "the piece %q has no coat %d", piece, number)
}

// DroppedCoats returns the coats of a piece that were dropped, by number. ErrNoRecord.
func (b *Book) DroppedCoats(ctx context.Context, piece string) ([]CoatDrop, error) {
	noted, err := named(ctx, b, aPiece, piece, coatsOf)
	return noted.dropped, err
}
