package shadebook

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"evenhide/calibrate/refusal"
)

// mostLine is the longest line of an export: a result and a picture, the latter in base64.
const mostLine = mostResult + 2*mostPicture

// Import fills the empty book with what Export wrote: all of it or nothing. The book
// then holds the same records with the same IDs and times, and exports the same
// bytes. ErrNotEmpty, ErrExport.
func (b *Book) Import(ctx context.Context, r io.Reader) error {
	// Not write: what was read cannot be read again.
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return b.explain(err)
	}
	defer tx.Rollback()
	in := importer{tx: tx, tables: map[string]*filling{}, lines: bufio.NewScanner(r)}
	in.lines.Buffer(nil, mostLine)
	err = in.run(ctx, b)
	if err == nil {
		err = b.commit(tx)
	}
	return b.explain(err)
}

// importer fills a book line by line.
type importer struct {
	tx      *sql.Tx
	tables  map[string]*filling
	lines   *bufio.Scanner
	line    int
	version int // of the file
}

// filling is a table that is being filled.
type filling struct {
	table
	insert *sql.Stmt
	rows   int
}

func (in *importer) run(ctx context.Context, b *Book) error {
	switch empty, err := isEmpty(ctx, in.tx); {
	case err != nil:
		return err
	case !empty:
		return refusal.New(ErrNotEmpty, "import into a new book; evenhide book where tells where this one is", "%s: holds records already", b.where)
	}
	for _, t := range tables() {
		insert, err := in.tx.PrepareContext(ctx, t.insert())
		if err != nil {
			return err
		}
		defer insert.Close()
		in.tables[t.name] = &filling{table: t, insert: insert}
	}
	head, err := in.header()
	if err != nil {
		return err
	}
	in.version = head.Version
	for in.lines.Scan() {
		in.line++
		if err := in.row(ctx, in.lines.Bytes()); err != nil {
			return err
		}
	}
	if err := in.lines.Err(); err != nil {
		in.line++
		return in.bad("%v", err)
	}
	for name, f := range in.tables {
		if head.Rows[name] != f.rows {
			return in.bad("the file ends with %d records of %s, and its header tells of %d: it was cut short", f.rows, name, head.Rows[name])
		}
	}
	if err := in.oneCoatANumber(ctx); err != nil {
		return err
	}
	if err := spell(ctx, in.tx); err != nil {
		return err
	}
	return b.continueIDs(ctx, in.tx)
}

// oneCoatANumber refuses what no rule of the tables does, as a dropped coat may share its
// number.
func (in *importer) oneCoatANumber(ctx context.Context) error {
	twice, err := collect(ctx, in.tx, func(row *sql.Rows, piece *int64) error { return row.Scan(piece) },
		"SELECT t.piece_id FROM coat t WHERE "+notDropped+" GROUP BY t.piece_id, t.number HAVING COUNT(*) > 1")
	if err == nil && len(twice) > 0 {
		err = in.bad("two coats of the piece %d have one number, and neither was dropped", twice[0])
	}
	return err
}

// isEmpty tells whether no table has a record.
func isEmpty(ctx context.Context, q querier) (bool, error) {
	for _, t := range tables() {
		n := 0
		if err := q.QueryRowContext(ctx, "SELECT COUNT(*) FROM "+t.name).Scan(&n); n > 0 || err != nil {
			return false, err
		}
	}
	return true, nil
}

// bad is what is wrong with the line just read.
func (in *importer) bad(format string, args ...any) error {
	return refusal.New(ErrExport, "import a file as evenhide book export wrote it", "line %d: "+format, append([]any{in.line}, args...)...)
}

func (in *importer) header() (head header, err error) {
	in.line = 1
	if !in.lines.Scan() {
		return head, in.bad("no header")
	}
	if err := json.Unmarshal(in.lines.Bytes(), &head); err != nil || head.Format != exportFormat || head.Record != "header" {
		return head, in.bad("not the header of a shade book")
	}
	if head.Version < 1 || head.Version > exportVersion {
		return head, in.bad("version %d, this evenhide reads versions up to %d", head.Version, exportVersion)
	}
	return head, nil
}

// row stores one line.
func (in *importer) row(ctx context.Context, line []byte) error {
	if !utf8.Valid(line) {
		return in.bad("not UTF-8")
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(line, &fields); err != nil {
		return in.bad("not JSON: %v", err)
	}
	var name string
	if err := json.Unmarshal(fields["record"], &name); err != nil {
		return in.bad("no record")
	}
	f := in.tables[name]
	if f == nil {
		return in.bad("no record is called %q", name)
	}
	in.renew(name, fields)
	if want := len(f.columns) + 1; len(fields) != want {
		return in.bad("%s: %d fields, wanted %d", name, len(fields), want)
	}
	values := make([]any, len(f.columns))
	for i, c := range f.columns {
		text, there := fields[c.name]
		if !there {
			return in.bad("%s: no field %q", name, c.name)
		}
		v, err := c.form.parse(text)
		if err != nil {
			return in.bad("%s: %q: %v", name, c.name, err)
		}
		values[i] = v
	}
	if name == "decision" {
		if err := sound(fields["state_id"], fields["verdicts"]); err != nil {
			return in.bad("%s: %v", name, err)
		}
	}
	if _, err := f.insert.ExecContext(ctx, values...); err != nil {
		if broken(err) {
			return in.bad("%s: does not go with the lines before: %v", name, err)
		}
		return err
	}
	f.rows++
	return nil
}

// renew makes a record of an earlier version one of this.
func (in *importer) renew(name string, fields map[string]json.RawMessage) {
	if name == "swatch" && in.version < 2 {
		for _, gone := range []string{"dab_linear", "hide_linear", "hide_lab"} { // which never had a value
			if string(fields[gone]) == "null" {
				delete(fields, gone)
			}
		}
	}
	if name == "decision" && in.version < 3 {
		for _, unknown := range []string{"state_id", "verdicts"} {
			if fields[unknown] == nil {
				fields[unknown] = json.RawMessage("null")
			}
		}
	}
}

// sound refuses verdicts of a decision that could not be read again.
func sound(state, verdicts json.RawMessage) error {
	if (string(state) == "null") != (string(verdicts) == "null") {
		return errors.New("state_id goes with verdicts")
	}
	_, err := decoded[[]Verdicts](verdicts)
	return err
}

// broken tells whether a row breaks a rule of the tables.
func broken(err error) bool {
	const sqliteConstraint, postgresConstraint = 19, "23"
	return liteCode(err) == sqliteConstraint || strings.HasPrefix(sqlState(err), postgresConstraint)
}

// parse is value's inverse.
func (f form) parse(field json.RawMessage) (any, error) {
	if string(field) == "null" {
		return nil, nil
	}
	switch f {
	case whole:
		return decoded[int64](field)
	case real:
		return decoded[float64](field)
	case binary:
		return decoded[[]byte](field)
	case nested:
		var compact bytes.Buffer
		err := json.Compact(&compact, field)
		return compact.String(), err
	}
	text, err := decoded[string](field)
	switch {
	case err != nil:
		return nil, err
	case strings.ContainsRune(text, 0):
		return nil, errors.New("holds a NUL")
	case f == words:
		return text, nil
	}
	at, err := time.Parse(timeLayout, text)
	if err != nil {
		return nil, fmt.Errorf("%q is no time such as %s", text, timeLayout)
	}
	return at.UnixMicro(), nil
}

func decoded[T any](field json.RawMessage) (v T, err error) {
	err = json.Unmarshal(field, &v)
	return v, err
}

// insert returns the statement that stores a row.
func (t table) insert() string {
	places := make([]string, len(t.columns))
	for i := range places {
		places[i] = fmt.Sprintf("$%d", i+1)
	}
	return "INSERT INTO " + t.name + " (" + strings.Join(t.columnNames(), ", ") + ") VALUES (" + strings.Join(places, ", ") + ")"
}

// continueIDs has PostgreSQL number new records after those that came with their IDs,
// as SQLite does by itself.
func (b *Book) continueIDs(ctx context.Context, tx *sql.Tx) error {
	if b.engine == sqlite {
		return nil
	}
	for _, t := range tables() {
		if t.key != "id" {
			continue
		}
		_, err := tx.ExecContext(ctx, "SELECT setval(pg_get_serial_sequence('"+t.name+"', 'id'), (SELECT COALESCE(MAX(id), 1) FROM "+t.name+
			"), EXISTS (SELECT 1 FROM "+t.name+"))")
		if err != nil {
			return err
		}
	}
	return nil
}
