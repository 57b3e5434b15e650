package shadebook

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/base64"
	endian "encoding/binary"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	codes "modernc.org/sqlite/lib"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/outfile"
)

const (
	exportFormat  = "evenhide shade book"
	exportVersion = 4
	// timeLayout keeps the microseconds, and sorts as the times do.
	timeLayout = "2006-01-02T15:04:05.000000Z"
)

// header is the first line of an export. Rows tells what is to follow, so that a file
// that was cut short is noticed.
type header struct {
	Record  string         `json:"record"` // "header"
	Format  string         `json:"format"`
	Version int            `json:"version"`
	Rows    map[string]int `json:"rows"` // by table
}

// Export writes every record as JSON Lines, as the book is at one moment: a header,
// then a line for each row of each table, {"record":"colour","id":1,...}. Times are
// RFC 3339 in UTC, pictures base64, what is not known is null.
func (b *Book) Export(ctx context.Context, w io.Writer) error {
	out := bufio.NewWriter(w)
	err := b.explain(b.snapshot(ctx, func(ctx context.Context, tx *sql.Tx) error {
		head := header{"header", exportFormat, exportVersion, map[string]int{}}
		for _, t := range tables() {
			n := 0
			if err := tx.QueryRowContext(ctx, "SELECT COUNT(*) FROM "+t.name).Scan(&n); err != nil {
				return err
			}
			head.Rows[t.name] = n
		}
		first, err := json.Marshal(head)
		if err != nil {
			return err
		}
		out.Write(append(first, '\n')) // an error comes back from Flush
		for _, t := range tables() {
			if err := t.each(ctx, tx, func(values []any) error { return t.line(out, values) }); err != nil {
				return err
			}
		}
		return nil
	}))
	return errors.Join(err, out.Flush())
}

// ExportTo is Export into a file, which may take the place of an export.
func (b *Book) ExportTo(ctx context.Context, file string) error {
	return outfile.Write(file, outfile.Marked("an export of a shade book", `"format":"`+exportFormat+`"`), func(w io.Writer) error { return b.Export(ctx, w) })
}

// each hands on the rows of a table: nil, int64, float64, string or []byte.
func (t table) each(ctx context.Context, tx *sql.Tx, row func(values []any) error) error {
	rows, err := tx.QueryContext(ctx, "SELECT "+strings.Join(t.columnNames(), ", ")+" FROM "+t.name+" ORDER BY "+t.key)
	if err != nil {
		return err
	}
	defer rows.Close()
	values := make([]any, len(t.columns))
	to := make([]any, len(values))
	for i := range to {
		to[i] = &values[i]
	}
	for rows.Next() {
		if err := rows.Scan(to...); err != nil {
			return err
		}
		if err := row(values); err != nil {
			return err
		}
	}
	return rows.Err()
}

// line writes one row.
func (t table) line(out *bufio.Writer, values []any) error {
	var line bytes.Buffer
	encode := json.NewEncoder(&line)
	encode.SetEscapeHTML(false)
	fmt.Fprintf(&line, `{"record":%q`, t.name)
	for i, c := range t.columns {
		fmt.Fprintf(&line, `,%q:`, c.name)
		v, err := c.form.value(values[i])
		if err == nil {
			err = encode.Encode(v)
		}
		if err != nil {
			return fmt.Errorf("%s.%s: %w", t.name, c.name, err)
		}
		line.Truncate(line.Len() - 1) // Encode's line feed
	}
	line.WriteString("}\n")
	_, err := out.Write(line.Bytes())
	return err
}

// value returns a value of the book as JSON has it.
func (f form) value(v any) (any, error) {
	switch x := v.(type) {
	case nil:
		return nil, nil
	case int64:
		switch f {
		case whole:
			return x, nil
		case moments:
			return time.UnixMicro(x).UTC().Format(timeLayout), nil
		}
	case float64:
		if f == real {
			return x + 0, nil // SQLite keeps no sign of zero, so neither does an export
		}
	case string:
		switch f {
		case words:
			return x, nil
		case nested:
			return json.RawMessage(x), nil
		}
	case []byte:
		if f == binary {
			return x, nil
		}
	}
	return nil, fmt.Errorf("holds a %T", v)
}

// text returns what value gave as a field of a CSV file; "" for null.
func (f form) text(v any) (string, error) {
	v, err := f.value(v)
	switch x := v.(type) {
	case string:
		return x, err
	case int64:
		return strconv.FormatInt(x, 10), err
	case float64:
		return strconv.FormatFloat(x, 'g', -1, 64), err
	case json.RawMessage:
		return string(x), err
	case []byte:
		return base64.StdEncoding.EncodeToString(x), err
	}
	return "", err
}

// ExportCSV writes every record into the new or empty folder dir, one file a table:
// RFC 4180 with a line of column names, UTF-8; pictures are base64, compound values
// JSON, what is not known is empty. On an error there is no folder.
func (b *Book) ExportCSV(ctx context.Context, dir string) error {
	if there, err := os.ReadDir(dir); len(there) > 0 || err != nil && !errors.Is(err, os.ErrNotExist) {
		return refusal.New(ErrExport, "give the name of a new folder", "%s: not an empty folder", dir)
	}
	part, err := os.MkdirTemp(filepath.Dir(filepath.Clean(dir)), ".evenhide-*.part")
	if err != nil {
		return refusal.New(outfile.ErrWrite, "see that the folder exists and that you may write to it", "%s: not written: %v", dir, errors.Unwrap(err))
	}
	defer os.RemoveAll(part)
	err = b.explain(b.snapshot(ctx, func(ctx context.Context, tx *sql.Tx) error {
		for _, t := range tables() {
			err := outfile.Write(filepath.Join(part, t.name+".csv"), outfile.Kind{}, func(w io.Writer) error { return t.csv(ctx, tx, w) })
			if err != nil {
				return err
			}
		}
		return nil
	}))
	if err != nil {
		return err
	}
	os.Remove(dir) // the empty one
	if err = os.Chmod(part, 0o755); err == nil {
		err = os.Rename(part, dir)
	}
	return err
}

func (t table) csv(ctx context.Context, tx *sql.Tx, w io.Writer) error {
	out := csv.NewWriter(w)
	fields := t.columnNames()
	out.Write(fields) // an error comes back from Error
	err := t.each(ctx, tx, func(values []any) (err error) {
		for i, c := range t.columns {
			if fields[i], err = c.form.text(values[i]); err != nil {
				return fmt.Errorf("%s.%s: %w", t.name, c.name, err)
			}
		}
		return out.Write(fields)
	})
	out.Flush()
	return errors.Join(err, out.Error())
}

// Backup writes the book as it is at one moment into file, while others go on
// writing: from SQLite a book that can be opened as it is, from PostgreSQL the JSON
// Lines that Import takes.
func (b *Book) Backup(ctx context.Context, file string) error {
	if b.engine == postgres {
		return b.ExportTo(ctx, file)
	}
	for _, own := range []string{b.where, b.where + "-wal", b.where + "-shm"} {
		if sameFile(own, file) {
			return refusal.New(outfile.ErrWrite, "give the name of another file", "%s: this is the book itself", file)
		}
	}
	for _, ending := range []string{"-wal", "-journal"} {
		if _, err := os.Stat(file + ending); err == nil { // it would be taken for the copy's
			return refusal.New(outfile.ErrWrite, "give the name of another file", "%s: a book that is in use, or was cut off in the middle of something", file)
		}
	}
	backup := outfile.Kind{Name: "an untouched backup of a shade book", Is: isBackup}
	return outfile.Make(file, backup, func(part string) error { return b.copyTo(ctx, part) })
}

// isBackup tells a copy of a book by how its file begins (sqlite.org/fileformat.html, 1.3).
// One that has been opened since is somebody's book, and has a log from then on.
func isBackup(head []byte) bool {
	const version, noLog, id = 18, 1, 68 // offsets of the format's and of the application's
	return bytes.HasPrefix(head, []byte("SQLite format 3\x00")) && len(head) >= id+4 &&
		head[version] == noLog && endian.BigEndian.Uint32(head[id:]) == applicationID
}

// copyTo writes a SQLite book into a new file.
func (b *Book) copyTo(ctx context.Context, file string) error {
	f, err := os.OpenFile(file, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = b.db.ExecContext(ctx, "VACUUM INTO $1", file)
	switch liteCode(err) {
	case codes.SQLITE_FULL, codes.SQLITE_IOERR, codes.SQLITE_CANTOPEN: // of the copy, not of the book
		return &fs.PathError{Op: "write", Path: file, Err: syscall.ENOSPC}
	}
	if err != nil {
		return b.explain(err)
	}
	return f.Sync()
}

func sameFile(a, b string) bool {
	at, err := os.Stat(a)
	other, otherErr := os.Stat(b)
	return err == nil && otherErr == nil && os.SameFile(at, other)
}
