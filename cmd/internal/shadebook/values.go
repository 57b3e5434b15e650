package shadebook

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"encoding/json"
	"fmt"
	"time"
)

// now is the moment to the microsecond, as a book keeps it.
func now() time.Time { return time.Now().UTC().Truncate(time.Microsecond) }

// kept returns t as it comes back from a book: to the microsecond, in UTC. A year that
// no calendar shows, which a camera's broken clock may give, is an unknown time.
func kept(t time.Time) time.Time {
	t = t.UTC().Truncate(time.Microsecond)
	if t.Year() < 1 || t.Year() > 9999 {
		return time.Time{}
	}
	return t
}

// micro returns t as a book keeps it; NULL when it is not known.
func micro(t time.Time) any {
	if t = kept(t); t.IsZero() {
		return nil
	}
	return t.UnixMicro()
}

// moment scans what micro made.
type moment struct{ to *time.Time }

func (m moment) Scan(v any) error {
	switch v := v.(type) {
	case nil:
		*m.to = time.Time{}
	case int64:
		*m.to = time.UnixMicro(v).UTC()
	default:
		return fmt.Errorf("a time is kept as %T", v)
	}
	return nil
}

// asJSON stores and scans a compound value. NULL, and an empty list, leave what it
// points to alone.
type asJSON struct{ v any }

func (j asJSON) Value() (driver.Value, error) {
	text, err := json.Marshal(j.v)
	if string(text) == "null" { // a slice that is nil
		text = []byte(emptyList)
	}
	return string(text), err
}

const emptyList = "[]"

func (j asJSON) Scan(v any) error {
	switch v := v.(type) {
	case nil:
		return nil
	case string:
		if v == emptyList {
			return nil
		}
		return json.Unmarshal([]byte(v), j.v)
	default:
		return fmt.Errorf("JSON is kept as %T", v)
	}
}

// orNull returns NULL for nil.
func orNull[T any](v *T) any {
	if v == nil {
		return nil
	}
	return asJSON{v}
}

// truth returns a yes or no as both engines keep it.
func truth(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// truthIn scans what truth made.
type truthIn struct{ to *bool }

func (t truthIn) Scan(v any) error {
	*t.to = v == int64(1)
	return nil
}

// idOrNull returns NULL for 0.
func idOrNull(id int64) any {
	if id == 0 {
		return nil
	}
	return id
}

// collect runs a query and scans each of its rows.
func collect[T any](ctx context.Context, q querier, scan func(row *sql.Rows, to *T) error, query string, args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		var v T
		if err := scan(rows, &v); err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, rows.Err()
}

// one returns the first of what collect found, or sql.ErrNoRows.
func one[T any](found []T, err error) (T, error) {
	if err == nil && len(found) == 0 {
		err = sql.ErrNoRows
	}
	if err != nil {
		var none T
		return none, err
	}
	return found[0], nil
}

// named runs read on the record with that name. ErrNoRecord.
func named[T any](ctx context.Context, b *Book, k kind, name string, read func(context.Context, querier, int64) (T, error)) (out T, err error) {
	err = b.read(ctx, func(ctx context.Context, tx *sql.Tx) error {
		r, err := k.find(ctx, tx, name)
		if err == nil {
			out, err = read(ctx, tx, r.id)
		}
		return err
	})
	return out, err
}

// list collects in a reading of its own.
func list[T any](ctx context.Context, b *Book, scan func(*sql.Rows, *T) error, query string, args ...any) (out []T, err error) {
	err = b.read(ctx, func(ctx context.Context, tx *sql.Tx) error {
		out, err = collect(ctx, tx, scan, query, args...)
		return err
	})
	return out, err
}
