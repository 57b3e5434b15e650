package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/shadebook"
)

func bookCommands() []command {
	return []command{
		{"book where", "", "tell where the shade book is", runBookWhere},
		{"book backup", "FILE", "copy the shade book", runBookBackup},
		{"book export", "FILE.jsonl|FOLDER", "write everything as JSON Lines, or as tables", runBookExport},
		{"book import", "FILE.jsonl", "fill an empty shade book with an export", runBookImport},
	}
}

const bookWhereUsage = `evenhide book where

Tells where the shade book is: its file, or its server's address without the password.

` + bookUsage

const bookBackupUsage = `evenhide book backup FILE

Writes the shade book as it is at this moment into FILE, which takes its name once it
is complete: in place of an older backup that nobody has opened since, but of no other
file. Others may go on writing. Of a book in a file the backup is such a book.
To go back to it, close evenhide everywhere, put the book's file aside with those
beside it that end in -wal and -shm, and copy the backup to its place; or name it with
--book. Of a book on a server it is JSON Lines, which
evenhide book import reads.

` + bookUsage

const bookExportUsage = `evenhide book export FILE.jsonl|FOLDER

Writes every record as it is at this moment: as JSON Lines, one record a line, which
evenhide book import reads; or into a new FOLDER as CSV, one file a table. A file takes
the place of an older export, but of no other file.

Times are in UTC, pictures in base64. What is not known is null, or empty in CSV. Every
field is described in cmd/internal/shadebook/EXPORT.md of evenhide's source.

` + bookUsage

const bookImportUsage = `evenhide book import FILE.jsonl

Fills an empty shade book with what evenhide book export wrote: all of it or, when
something is wrong with it, nothing. The book may be of the other kind, a file or a
server. Its records keep their numbers and times.

` + bookUsage

func runBookWhere(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("book where")
	address := bookFlag(fs)
	if done, code, err := parse(fs, args, bookWhereUsage, stdout); done {
		return code, err
	}
	err := noNames(fs)
	if err == nil {
		*address, err = bookInUse(*address)
	}
	where := ""
	if err == nil {
		where, err = shadebook.Where(*address)
	}
	if err == nil {
		_, err = fmt.Fprintln(stdout, where)
	}
	return exitOf(err), err
}

// onBook parses the arguments of a command about the book and one file, and runs do.
// do returns what to say of the file.
func onBook(name, what, usage string, with opener, args []string, stdout io.Writer,
	do func(ctx context.Context, b *shadebook.Book, file string) (string, error)) (int, error) {
	fs := newFlags(name)
	address := bookFlag(fs)
	if done, code, err := parse(fs, args, usage, stdout); done {
		return code, err
	}
	file, err := oneName(fs, what)
	if err == nil {
		err = with(*address, func(ctx context.Context, b *shadebook.Book) error {
			said, err := do(ctx, b, file)
			if err == nil {
				_, err = fmt.Fprintf(stdout, "%s: %s\n", file, said)
			}
			return err
		})
	}
	return exitOf(err), err
}

func runBookBackup(args []string, stdout io.Writer) (int, error) {
	return onBook("book backup", "the backup's file", bookBackupUsage, withBook, args, stdout,
		func(ctx context.Context, b *shadebook.Book, file string) (string, error) {
			said := "backup of " + b.Where()
			if b.OnServer() {
				said += ", as JSON Lines"
			}
			return said, b.Backup(ctx, file)
		})
}

func runBookExport(args []string, stdout io.Writer) (int, error) {
	return onBook("book export", "FILE.jsonl or FOLDER", bookExportUsage, withBook, args, stdout,
		func(ctx context.Context, b *shadebook.Book, file string) (string, error) {
			switch ending := strings.ToLower(filepath.Ext(file)); ending {
			case ".jsonl":
				return "everything in " + b.Where(), b.ExportTo(ctx, file)
			case ".json", ".csv":
				return "", misuse("book export", "%s: an export is a file that ends in .jsonl, or a folder of CSV", file)
			}
			return "everything in " + b.Where() + ", as CSV", b.ExportCSV(ctx, file)
		})
}

func runBookImport(args []string, stdout io.Writer) (int, error) {
	return onBook("book import", "FILE.jsonl", bookImportUsage, withBegunBook, args, stdout,
		func(ctx context.Context, b *shadebook.Book, file string) (string, error) {
			f, err := os.Open(file)
			if err != nil {
				return "", record.Unreadable(file, err)
			}
			defer f.Close()
			err = b.Import(ctx, f)
			var refused *refusal.Error
			if errors.Is(err, shadebook.ErrExport) && errors.As(err, &refused) {
				err = refusal.New(refused.Kind, refused.Hint, "%s: %s", file, refused.What)
			}
			return "imported into " + b.Where(), err
		})
}
