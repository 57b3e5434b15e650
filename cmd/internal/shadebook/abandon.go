package shadebook

import (
	"context"
	"os"
)

// Abandon closes a book that OpenOrBegin began for nothing: its file goes, if nobody has
// written into it or has it open. Of one on a server the tables stay.
func (b *Book) Abandon(ctx context.Context) error {
	var left error // of the file
	if b.began && b.engine == sqlite {
		var err error
		if left, err = b.remove(ctx); err != nil {
			return b.explain(err)
		}
	}
	err := b.Close()
	if left != nil && err == nil { // no system that lets an open file go
		err = b.explain(os.Remove(b.where))
	}
	return err
}

// remove takes the file of an empty book away while no other bench can write into it, and
// returns why it could not.
func (b *Book) remove(ctx context.Context) (left, err error) {
	b.db.SetMaxOpenConns(1) // its others would be taken for another bench
	conn, err := b.db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	defer conn.Close()
	mode := "" // which only who has the file alone may change
	err = conn.QueryRowContext(ctx, "PRAGMA journal_mode = DELETE").Scan(&mode)
	if isBusy(err) || err == nil && mode != "delete" {
		return nil, nil
	}
	if err == nil {
		_, err = conn.ExecContext(ctx, "BEGIN EXCLUSIVE")
	}
	if err != nil {
		return nil, err
	}
	empty, err := isEmpty(ctx, conn)
	if empty {
		left = os.Remove(b.where)
	}
	_, undone := conn.ExecContext(ctx, "ROLLBACK")
	if err == nil {
		err = undone
	}
	return left, err
}
