package shadebook

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"evenhide/calibrate/refusal"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

const (
	busyTimeout     = time.Minute // for which a bench may hold up the others
	sqliteConns     = 4
	sqliteOpenTries = 50 // of openDelay each: switching a new file to WAL does not wait for others
	openDelay       = 50 * time.Millisecond
)

// openSQLite opens a file. To begin one its folder must be there, unless it is the
// default one.
func openSQLite(ctx context.Context, path string, begin bool) (*Book, error) {
	b := &Book{engine: sqlite, where: path}
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, b.explain(err)
	}
	if own, err := DefaultAddress(); begin && err == nil && own == path {
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			return nil, b.unopened(err)
		}
	}
	// Opened first as any file is: what is wrong with it, SQLite would not say.
	if at, err := os.Stat(full); err == nil && !at.Mode().IsRegular() {
		return nil, refusal.New(ErrNotBook, "give the name of a file", "%s: not an ordinary file", path)
	}
	how := os.O_RDWR
	if begin {
		how |= os.O_CREATE
	}
	f, err := os.OpenFile(full, how, 0o666)
	switch {
	case !begin && errors.Is(err, fs.ErrNotExist):
		return nil, b.noBook()
	case err != nil:
		return nil, b.unopened(err)
	}
	f.Close()
	at := url.URL{Scheme: "file", Path: filepath.ToSlash(full), RawQuery: url.Values{
		"_txlock":       {"immediate"},
		"_busy_timeout": {"60000"},
		"_foreign_keys": {"1"},
		"_synchronous":  {"FULL"},
		"_dqs":          {"0"},
	}.Encode()}
	if filepath.VolumeName(full) != "" {
		at.Path = "/" + at.Path
	}
	if b.db, err = sql.Open("sqlite", at.String()); err != nil {
		return nil, b.explain(err)
	}
	b.db.SetMaxOpenConns(sqliteConns)
	b.db.SetMaxIdleConns(sqliteConns)
	if err := b.useWAL(ctx); err != nil {
		b.db.Close()
		return nil, b.explain(err)
	}
	return b, nil
}

// useWAL lets readers read while one writes. A file of another program is left as it is.
func (b *Book) useWAL(ctx context.Context) error {
	if _, err := b.version(ctx, b.db); err != nil {
		return err
	}
	for try := 1; ; try++ {
		_, err := b.db.ExecContext(ctx, "PRAGMA journal_mode = WAL")
		if !isBusy(err) || try == sqliteOpenTries || ctx.Err() != nil {
			return err
		}
		time.Sleep(openDelay)
	}
}
