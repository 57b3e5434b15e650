package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"strings"

	"github.com/spf13/pflag"

	"evenhide/cmd/internal/shadebook"
)

// bookEnv names the book of a shell session.
const bookEnv = "EVENHIDE_BOOK"

// bookUsage is what the help of every command on the shade book says of it.
const bookUsage = `  --book ADDRESS           the shade book: a file, or postgres://...; not given, the
                           one that EVENHIDE_BOOK names, or the user's own
`

func bookFlag(fs *pflag.FlagSet) *string { return fs.String("book", "", "") }

func jsonFlag(fs *pflag.FlagSet) *bool { return fs.Bool("json", false, "") }

// opener is withBook or withBegunBook.
type opener func(address string, do func(context.Context, *shadebook.Book) error) error

// withBook opens the book at address, or the one that is in use where that is
// empty, for as long as do takes. An interrupt from the keyboard ends its context.
// The user's own book may be a new one, a book that is named must be there: its name
// may be mistyped.
func withBook(address string, do func(context.Context, *shadebook.Book) error) error {
	open := shadebook.Open
	if !named(address) {
		open = shadebook.OpenOrBegin
	}
	return inBook(open, address, do)
}

// withBegunBook is withBook for what a new book begins with. It says so of one that is
// named, and leaves none behind where do fails.
func withBegunBook(address string, do func(context.Context, *shadebook.Book) error) error {
	return inBook(shadebook.OpenOrBegin, address, func(ctx context.Context, b *shadebook.Book) error {
		err := do(ctx, b)
		switch {
		case err != nil && b.Began():
			err = errors.Join(err, b.Abandon(context.WithoutCancel(ctx)))
		case b.Began() && named(address):
			fmt.Fprintf(os.Stderr, "note: new shade book: %s\n", b.Where())
		}
		return err
	})
}

func inBook(open func(context.Context, string) (*shadebook.Book, error), address string, do func(context.Context, *shadebook.Book) error) (err error) {
	if address, err = bookInUse(address); err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	book, err := open(ctx, address)
	if err != nil {
		return err
	}
	err = do(ctx, book)
	if closed := book.Close(); err == nil {
		err = closed
	}
	return err
}

// named tells whether the book in use is one that somebody named.
func named(address string) bool { return address != "" || os.Getenv(bookEnv) != "" }

// bookInUse returns the address that was given, or that of the book in use.
func bookInUse(address string) (string, error) {
	if address == "" {
		address = os.Getenv(bookEnv)
	}
	if address == "" {
		return shadebook.DefaultAddress()
	}
	return address, nil
}

// oneName returns the name that a command is about.
func oneName(fs *pflag.FlagSet, what string) (string, error) {
	switch n := fs.NArg(); {
	case n == 0:
		return "", misuse(fs.Name(), "wanted %s", strings.TrimSuffix(what, ","))
	case n > 1:
		return "", misuse(fs.Name(), "wanted %s and nothing else, found %d names: put one with spaces in quotes", what, n)
	}
	return fs.Arg(0), nil
}

// noNames refuses what stands beside the options.
func noNames(fs *pflag.FlagSet) error {
	if fs.NArg() > 0 {
		return misuse(fs.Name(), "wanted nothing but options, found %q", fs.Arg(0))
	}
	return nil
}
