package shadebook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"evenhide/calibrate/refusal"
)

// Folded returns what a name has in common with all those that differ from it by case
// or by spaces alone.
func Folded(name string) string {
	return norm.NFC.String(cases.Fold().String(norm.NFC.String(strings.Join(strings.Fields(name), " "))))
}

// OneSpelling refuses names of which two differ by case or spaces alone.
func OneSpelling(names []string) error {
	first := map[string]string{} // by what is folded
	for _, name := range names {
		folded := Folded(name)
		if there, found := first[folded]; found && there != name {
			return refusal.New(ErrRefused, "write it the same way each time", "%q and %q differ by case or spaces alone", there, name)
		}
		first[folded] = name
	}
	return nil
}

// claim refuses a new name that differs by case or spaces alone from one there is. Of
// two benches that add such names at once, the second waits for the first.
func (k kind) claim(ctx context.Context, tx *sql.Tx, name string) error {
	added, err := tx.ExecContext(ctx, "INSERT INTO spelling (kind, folded, name) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING", string(k), Folded(name), name)
	if err != nil {
		return err
	}
	if n, err := added.RowsAffected(); n == 1 || err != nil {
		return err
	}
	written, err := k.spelled(ctx, tx, name)
	if err != nil || written == name {
		return err
	}
	n := 0 // books from before names were claimed may hold both
	if err = tx.QueryRowContext(ctx, "SELECT COUNT(*) FROM "+string(k)+" WHERE name = $1", name).Scan(&n); err == nil && n == 0 {
		err = refusal.New(ErrNameTaken, fmt.Sprintf("give another name than %q: it differs by case or spaces alone; or write it as it is there", name),
			"there is a %s %q already", k, written)
	}
	return err
}

// spelled returns how the book writes a name of that kind; "" when there is none.
func (k kind) spelled(ctx context.Context, q querier, name string) (written string, err error) {
	err = q.QueryRowContext(ctx, "SELECT name FROM spelling WHERE kind = $1 AND folded = $2", string(k), Folded(name)).Scan(&written)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return written, err
}

// spell claims all names that are in the book, the oldest first.
func spell(ctx context.Context, tx *sql.Tx) error {
	const rows = 500 // a statement: a server may be far away
	for _, k := range []kind{aColour, aHide, aBottle, aBatch, aPiece} {
		names, err := collect(ctx, tx, func(row *sql.Rows, name *string) error { return row.Scan(name) }, "SELECT name FROM "+string(k)+" ORDER BY id")
		if err != nil {
			return err
		}
		for some := range slices.Chunk(names, rows) {
			var places []string
			args := []any{string(k)}
			for _, name := range some {
				places = append(places, fmt.Sprintf("($1, $%d, $%d)", len(args)+1, len(args)+2))
				args = append(args, Folded(name), name)
			}
			if _, err := tx.ExecContext(ctx, "INSERT INTO spelling (kind, folded, name) VALUES "+strings.Join(places, ", ")+" ON CONFLICT DO NOTHING", args...); err != nil {
				return err
			}
		}
	}
	return nil
}
