package shadebook

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"evenhide/calibrate/refusal"
)

const (
	attempts   = 20
	firstPause = 100 * time.Millisecond // doubled up to ten times this: 16.5 s in all, in which a server starts again
	// A server that neither answers nor hangs up, or a bench that keeps the file
	// locked, ends a transaction after this.
	longest = 2 * time.Minute
)

// errAgain has a transaction begun again.
var errAgain = errors.New("begin again")

// querier is a transaction or the database outside of one.
type querier interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// read runs do on the book as it is at one moment. do is run again when the server
// went away in between, so what it collects must not be added to what was there.
func (b *Book) read(ctx context.Context, do func(ctx context.Context, tx *sql.Tx) error) error {
	return b.repeat(ctx, func(ctx context.Context) error { return b.snapshot(ctx, do) })
}

// snapshot is read without a limit in time and without a second attempt, for what
// hands on what it reads.
func (b *Book) snapshot(ctx context.Context, do func(ctx context.Context, tx *sql.Tx) error) error {
	tx, err := b.db.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil {
		return err
	}
	defer tx.Rollback()
	return do(ctx, tx)
}

// write runs do in a transaction that is stored whole or not at all. do may be run
// again, as for read. When the server went away while it was asked to store, nobody
// knows whether it did: then the error is ErrUnsure and nothing is repeated.
func (b *Book) write(ctx context.Context, do func(ctx context.Context, tx *sql.Tx) error) error {
	return b.repeat(ctx, func(ctx context.Context) error {
		tx, err := b.db.BeginTx(ctx, nil)
		if err != nil {
			return err
		}
		if err := do(ctx, tx); err != nil {
			tx.Rollback()
			return err
		}
		return b.commit(tx)
	})
}

func (b *Book) commit(tx *sql.Tx) error {
	err := tx.Commit()
	if b.engine == postgres && isLost(err) {
		return refusal.New(ErrUnsure, "see whether it is there, and store it again if it is not",
			"%s: the server went away while it was storing", b.where)
	}
	return err
}

// How lock holds a record: alone, or so that others who hold it shared may go on.
const (
	alone  = "NO KEY UPDATE" // records that name it may still be stored
	shared = "SHARE"
)

// lock keeps a record from other benches that lock it, until the transaction ends.
// SQLite lets one write at a time anyway.
func (b *Book) lock(ctx context.Context, tx *sql.Tx, k kind, id int64, strength string) error {
	if b.engine == sqlite {
		return nil
	}
	return tx.QueryRowContext(ctx, "SELECT id FROM "+string(k)+" WHERE id = $1 FOR "+strength, id).Scan(&id)
}

// repeat runs do until it neither loses its server nor collides with another bench,
// and says what went wrong.
func (b *Book) repeat(ctx context.Context, do func(ctx context.Context) error) error {
	pause := b.pause
	for try := 1; ; try++ {
		err := func() error {
			ctx, cancel := context.WithTimeout(ctx, longest)
			defer cancel()
			return do(ctx)
		}()
		if err == nil || ctx.Err() != nil || try == attempts || !passes(err) {
			return b.explain(err)
		}
		if isLost(err) { // a collision is over by now
			select {
			case <-ctx.Done():
			case <-time.After(pause):
			}
			pause = min(2*pause, 10*b.pause)
		}
	}
}
