package shadebook

import (
	"context"
	"database/sql"
	"time"
)

// Bottle is a bottle of dye.
type Bottle struct {
	ID       int64
	Name     string
	Dye      string
	MakerLot string
	Opened   time.Time // zero: unknown
	Notes    string
	Added    time.Time
}

// AddBottle adds a bottle; ID and Added are set. ErrNameTaken, ErrRefused.
func (b *Book) AddBottle(ctx context.Context, bottle Bottle) (Bottle, error) {
	name, err := aBottle.clean(bottle.Name)
	if err == nil {
		err = texts(text{"dye", bottle.Dye}, text{"maker's lot", bottle.MakerLot}, text{"notes", bottle.Notes})
	}
	if err != nil {
		return bottle, err
	}
	bottle.Name, bottle.Opened, bottle.Added = name, kept(bottle.Opened), now()
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) (err error) {
		bottle.ID, err = aBottle.added(tx.QueryRowContext(ctx, `INSERT INTO bottle (name, dye, maker_lot, opened_at, notes, added_at)
			VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (name) DO NOTHING RETURNING id`,
			name, bottle.Dye, bottle.MakerLot, micro(bottle.Opened), bottle.Notes, micro(bottle.Added)), name)
		return err
	})
	return bottle, err
}

const bottleQuery = "SELECT id, name, dye, maker_lot, opened_at, notes, added_at FROM bottle"

func scanBottle(row *sql.Rows, bottle *Bottle) error {
	return row.Scan(&bottle.ID, &bottle.Name, &bottle.Dye, &bottle.MakerLot, moment{&bottle.Opened}, &bottle.Notes, moment{&bottle.Added})
}

// BottleNamed returns a bottle. ErrNoRecord.
func (b *Book) BottleNamed(ctx context.Context, name string) (Bottle, error) {
	return named(ctx, b, aBottle, name, func(ctx context.Context, q querier, id int64) (Bottle, error) {
		return one(collect(ctx, q, scanBottle, bottleQuery+" WHERE id = $1", id))
	})
}

// Bottles returns all bottles by name.
func (b *Book) Bottles(ctx context.Context) ([]Bottle, error) {
	found, err := list(ctx, b, scanBottle, bottleQuery)
	return byName(found, func(bottle Bottle) string { return bottle.Name }), err
}

// BottleChecks returns the checks of a bottle's dabs that none corrects, newest first.
// ErrNoRecord.
func (b *Book) BottleChecks(ctx context.Context, name string) ([]Check, error) {
	return named(ctx, b, aBottle, name, func(ctx context.Context, q querier, id int64) ([]Check, error) {
		return checks(ctx, q, "c.bottle_id = $1 AND "+uncorrected, newestFirst, id)
	})
}
