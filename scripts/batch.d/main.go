// Command batch.d tries evenhide batch check on many rendered photos: killed at
// random moments and run again, and with one worker against two. scripts/killtest
// and scripts/bench run it.
package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
)

func main() {
	err := errors.New("wanted kill or throughput, the program and a folder")
	if len(os.Args) == 4 {
		switch os.Args[1] {
		case "kill":
			err = kill(os.Args[2], os.Args[3])
		case "throughput":
			err = throughput(os.Args[2], os.Args[3])
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "batch:", err)
		os.Exit(1)
	}
}

// book runs the program on one shade book.
type book struct{ program, file string }

const batchName = "Fobs"

// newBook makes a book with a colour and an open batch.
func newBook(program, file string) (book, error) {
	b := book{program, file}
	for _, leftover := range []string{file, file + "-wal", file + "-shm"} {
		if err := os.Remove(leftover); err != nil && !errors.Is(err, os.ErrNotExist) {
			return b, err
		}
	}
	if _, err := b.run("colour", "add", "Samphire green"); err != nil {
		return b, err
	}
	_, err := b.run("batch", "open", batchName, "--colour", "Samphire green", "--by", "Saltmarsh Bench")
	return b, err
}

func (b book) command(args ...string) *exec.Cmd {
	cmd := exec.Command(b.program, args...)
	cmd.Env = append(os.Environ(), "EVENHIDE_BOOK="+b.file)
	return cmd
}

// run returns what a command prints. Exit code 1 says that a piece does not ship, and 2
// without an error that a photo could not be judged; a note tells of photos skipped.
func (b book) run(args ...string) (string, error) {
	cmd := b.command(args...)
	out, err := cmd.Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) && (exit.ExitCode() == 1 || exit.ExitCode() == 2 && !bytes.Contains(exit.Stderr, []byte("evenhide: "))) {
		err = nil
	} else if errors.As(err, &exit) {
		err = fmt.Errorf("%v: %w\n%s", cmd.Args, err, exit.Stderr)
	}
	return string(out), err
}
