package shadebook

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
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
		if err = aBottle.claim(ctx, tx, name); err != nil {
			return err
		}
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

// BottleCheck is a check of a bottle's dabs, with its result as JSON.
type BottleCheck struct {
	Check
	Result []byte
}

// Into reads the result, which is JSON, into what into points to.
func (c BottleCheck) Into(into any) error {
	if err := json.Unmarshal(c.Result, into); err != nil {
		return fmt.Errorf("the result of check %d: %w", c.ID, err)
	}
	return nil
}

// BottleChecks returns the checks of a bottle's dabs that count, newest first;
// they are of the kind OfBottle, OfLadder or OfDabs. ErrNoRecord.
func (b *Book) BottleChecks(ctx context.Context, name, kind string) ([]BottleCheck, error) {
	return named(ctx, b, aBottle, name, func(ctx context.Context, q querier, id int64) ([]BottleCheck, error) {
		const where = "c.bottle_id = $1 AND c.kind = $2 AND " + counting
		found, err := checks(ctx, q, where, newestFirst, id, kind)
		if err != nil {
			return nil, err
		}
		results, err := collect(ctx, q, func(row *sql.Rows, result *string) error { return row.Scan(result) },
			"SELECT e.result FROM photo_check c JOIN check_evidence e ON e.check_id = c.id WHERE "+where+string(newestFirst), id, kind)
		if err == nil && len(results) != len(found) {
			err = fmt.Errorf("the bottle %q has %d checks and %d results", name, len(found), len(results))
		}
		if err != nil {
			return nil, err
		}
		out := make([]BottleCheck, len(found)) // both are in the same order
		for i, c := range found {
			out[i] = BottleCheck{c, []byte(results[i])}
		}
		return out, nil
	})
}
