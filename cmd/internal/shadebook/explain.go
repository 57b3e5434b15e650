package shadebook

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"path/filepath"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
	lite "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"evenhide/calibrate/refusal"
)

// sqlState returns the code of a PostgreSQL server's error; "" for any other.
func sqlState(err error) string {
	var server *pgconn.PgError
	if errors.As(err, &server) {
		return server.Code
	}
	return ""
}

// liteCode returns SQLite's code, without what it says beyond; 0 for any other error.
func liteCode(err error) int {
	const primary = 0xff
	var file *lite.Error
	if errors.As(err, &file) {
		return file.Code() & primary
	}
	return 0
}

func isBusy(err error) bool {
	code := liteCode(err)
	return code == codes.SQLITE_BUSY || code == codes.SQLITE_LOCKED
}

// isLost tells whether the server went away, is coming up, or takes no more benches
// just now.
func isLost(err error) bool {
	switch state := sqlState(err); {
	case strings.HasPrefix(state, "08"), strings.HasPrefix(state, "57P"), state == "53300":
		return true
	case state != "":
		return false
	}
	var network net.Error
	return errors.Is(err, driver.ErrBadConn) || errors.Is(err, sql.ErrConnDone) || errors.Is(err, pgconn.ErrConnClosed) ||
		errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) ||
		(errors.As(err, &network) && !errors.Is(err, context.DeadlineExceeded) && !errors.Is(err, context.Canceled))
}

// passes tells whether the same transaction may well succeed in a moment.
func passes(err error) bool {
	switch sqlState(err) {
	case "40001", "40P01": // benches in each other's way
		return true
	}
	return errors.Is(err, errAgain) || isLost(err)
}

// explain turns an error of an engine into what a person can act on. No text of the
// driver's goes into it where it could hold a password.
func (b *Book) explain(err error) error {
	var refused *refusal.Error
	if err == nil || errors.As(err, &refused) || errors.Is(err, context.Canceled) {
		return err
	}
	say := func(kind error, hint, format string, args ...any) error {
		return refusal.New(kind, hint, "%s: "+format, append([]any{b.where}, args...)...)
	}
	const full = "make room; what was stored before is safe"
	switch code := liteCode(err); code {
	case 0:
	case codes.SQLITE_FULL:
		return say(ErrFull, full, "not stored: the disk is full")
	case codes.SQLITE_IOERR:
		return say(ErrFull, "see that the disk is not full and that the file may grow; what was stored before is safe", "not stored: the disk does not take it")
	case codes.SQLITE_READONLY:
		return say(ErrReadOnly, "see that you may write to the file and its folder", "may only be read")
	case codes.SQLITE_CANTOPEN:
		return say(ErrUnreachable, "see that its folder exists and that you may write there", "cannot be opened")
	case codes.SQLITE_CORRUPT:
		return say(ErrDamaged, "put the file aside and go on with your newest backup", "the file is damaged")
	case codes.SQLITE_NOTADB:
		return say(ErrNotBook, "give the file of a shade book, or the name of a new file", "not a shade book")
	case codes.SQLITE_BUSY, codes.SQLITE_LOCKED:
		return say(ErrBusy, "close what else has the book open, then try again", "another program keeps it locked")
	default:
		return fmt.Errorf("%s: %w", b.where, err)
	}
	switch state := sqlState(err); {
	case state == "28P01" || strings.HasPrefix(state, "28"):
		return say(ErrLogin, "see that name and password are right, and that the server lets you in from here", "the server refuses the login")
	case state == "3D000":
		return say(ErrUnreachable, "have the database made first", "the server has no such database")
	case state == "3F000":
		return say(ErrUnreachable, "have the schema made first, or leave search_path out of the address", "the database has no such schema")
	case state == "53100":
		return say(ErrFull, full, "not stored: the server's disk is full")
	case state == "42501", state == "25006":
		return say(ErrReadOnly, "have the server give you the right to make tables and to write", "the server does not let you write")
	case state == "42P07", state == "42723":
		return say(ErrNotBook, "give the book a database or a schema of its own", "the database holds tables of another program")
	case strings.HasPrefix(state, "XX00"):
		return say(ErrDamaged, "have the server looked at, and go on with your newest backup", "the server says that its data are damaged")
	case state == "57014", errors.Is(err, context.DeadlineExceeded):
		return say(ErrUnreachable, "try again later", "no answer in time")
	case isLost(err), isConnect(err):
		return say(ErrUnreachable, "see that the server runs and that its address is right", "the server cannot be reached")
	}
	return fmt.Errorf("%s: %w", b.where, err)
}

func isConnect(err error) bool {
	var failed *pgconn.ConnectError
	return errors.As(err, &failed)
}

// unopened says why the file of a book could not be opened.
func (b *Book) unopened(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return refusal.New(ErrUnreachable, "make the folder first", "%s: there is no folder %s", b.where, filepath.Dir(b.where))
	}
	var disk *fs.PathError
	if errors.As(err, &disk) {
		err = disk.Err
	}
	return refusal.New(ErrReadOnly, "see that you may write to the file and its folder", "%s: cannot be opened for writing: %v", b.where, err)
}
