package shadebook

import (
	"context"
	"errors"
	"io"
)

var errNotYet = errors.New("not yet written")

// Book is an open shade book. Several goroutines may use it at once, and so may
// several processes.
type Book struct{}

// Open opens the book at address, a file's path or postgres://..., and makes it
// when there is none.
func Open(ctx context.Context, address string) (*Book, error) { return nil, errNotYet }

// Close closes the book.
func (b *Book) Close() error { return errNotYet }

// Where returns where the book is, without a password.
func (b *Book) Where() string { return "" }

// DefaultAddress returns the place of the user's own book, in their data folder.
func DefaultAddress() (string, error) { return "", errNotYet }

// Export writes every record as JSON Lines, as the book is at one moment.
func (b *Book) Export(ctx context.Context, w io.Writer) error { return errNotYet }

// ExportCSV writes every record into the new or empty folder dir, one file a table.
func (b *Book) ExportCSV(ctx context.Context, dir string) error { return errNotYet }

// Import fills the empty book with what Export wrote: all of it or nothing.
func (b *Book) Import(ctx context.Context, r io.Reader) error { return errNotYet }

// Backup writes the book as it is at one moment into file: a book of its own from
// SQLite, Export's JSON Lines from PostgreSQL.
func (b *Book) Backup(ctx context.Context, file string) error { return errNotYet }
