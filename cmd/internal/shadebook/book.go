package shadebook

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"evenhide/calibrate/refusal"
)

type engine int

const (
	sqlite engine = iota
	postgres
)

// applicationID marks a SQLite file as a shade book, and names PostgreSQL's lock.
const applicationID = 0x45564853

// Book is an open shade book. Several goroutines may use it at once, and so may
// several processes.
type Book struct {
	db      *sql.DB
	engine  engine
	where   string
	pause   time.Duration // before a second attempt
	noTurns bool          // the engine has no advisory lock
	began   bool
}

// Open opens the book at address, a file's path or postgres://.... ErrNoBook when there
// is none, ErrNotBook, ErrNewer, ErrDamaged, ErrReadOnly, ErrFull, ErrUnreachable,
// ErrLogin, ErrRefused.
func Open(ctx context.Context, address string) (*Book, error) {
	return openBook(ctx, address, false)
}

// OpenOrBegin is Open that begins a new book where there is none.
func OpenOrBegin(ctx context.Context, address string) (*Book, error) {
	return openBook(ctx, address, true)
}

func openBook(ctx context.Context, address string, begin bool) (*Book, error) {
	server, err := onServer(address)
	if err != nil {
		return nil, err
	}
	open := openSQLite
	if server {
		open = openPostgres
	}
	b, err := open(ctx, address, begin)
	if err != nil {
		return nil, err
	}
	b.pause = firstPause
	if err := b.migrate(ctx, begin); err != nil {
		b.db.Close()
		return nil, err
	}
	return b, nil
}

// noBook is for who meant a book that there is.
func (b *Book) noBook() error {
	return refusal.New(ErrNoBook, "see how --book or EVENHIDE_BOOK is written; colour add, hide add, bottle add and book import begin a new one",
		"no shade book at %s", b.where)
}

// onServer tells whether an address is that of a PostgreSQL server.
func onServer(address string) (bool, error) {
	switch scheme, _, found := strings.Cut(address, "://"); {
	case !found:
		return false, nil
	case scheme == "postgres", scheme == "postgresql":
		return true, nil
	default:
		return false, refusal.New(ErrRefused, "give a file's path, or an address that starts with postgres://",
			"the book's address has the scheme %q", scheme)
	}
}

// Where returns where the book at address is, without a password, and does not open it.
func Where(address string) (string, error) {
	server, err := onServer(address)
	if err != nil {
		return "", err
	}
	if server {
		cfg, err := parsePostgres(address)
		if err != nil {
			return "", err
		}
		return whereIs(cfg), nil
	}
	return filepath.Abs(address)
}

// Close closes the book.
func (b *Book) Close() error { return b.explain(b.db.Close()) }

// Where returns where the book is, without a password.
func (b *Book) Where() string { return b.where }

// Began tells whether OpenOrBegin found no book and began this one.
func (b *Book) Began() bool { return b.began }

// OnServer tells whether the book is on a PostgreSQL server.
func (b *Book) OnServer() bool { return b.engine == postgres }

// DefaultAddress returns the place of the user's own book, in their data folder.
func DefaultAddress() (string, error) {
	dir, err := os.Getenv("XDG_DATA_HOME"), error(nil)
	switch {
	case runtime.GOOS == "windows":
		dir, err = os.UserCacheDir() // %LocalAppData%
	case runtime.GOOS == "darwin":
		dir, err = os.UserConfigDir() // ~/Library/Application Support
	case !filepath.IsAbs(dir): // the standard has relative ones ignored
		dir, err = os.UserHomeDir()
		dir = filepath.Join(dir, ".local", "share")
	}
	if err != nil {
		return "", refusal.New(ErrUnreachable, "say where the book is with --book or EVENHIDE_BOOK", "no place for a shade book: %v", err)
	}
	return filepath.Join(dir, "evenhide", "shadebook.db"), nil
}
