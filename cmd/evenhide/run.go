package main

import (
	"errors"
	"fmt"
	"io"
	"slices"

	"evenhide/calibrate/refusal"
)

// Exit codes.
const (
	allShip     = 0
	someDoNot   = 1 // a piece needs something else
	notMeasured = 2 // something could not be measured, or the command line is wrong
)

// run does what args say and returns the exit code. What it prints on success
// goes to stdout.
func run(args []string, stdout io.Writer) (int, error) {
	if len(args) == 0 {
		args = []string{"help"}
	}
	all := commands()
	switch {
	case isHelp(args[0]):
		if len(args) > 1 && !isHelp(args[1]) { // help colour add
			return run(append(slices.Clone(args[1:]), "--help"), stdout)
		}
		err := writeCommands(stdout, purpose, all)
		return exitOf(err), err
	case args[0] == "--version":
		_, err := fmt.Fprintln(stdout, "evenhide", version())
		return exitOf(err), err
	}
	if c, rest := find(all, args); c != nil {
		return c.run(rest, stdout)
	}
	return runNoun(args, verbs(all, args[0]), stdout)
}

// runNoun lists the commands of a noun, or refuses what is none of them.
func runNoun(args []string, verbs []command, stdout io.Writer) (int, error) {
	noun := args[0]
	switch {
	case len(verbs) == 0:
		return notMeasured, refusal.New(nil, "evenhide help lists the commands", "no command %q", noun)
	case len(args) == 1 || isHelp(args[1]):
		err := writeCommands(stdout, "", verbs)
		return exitOf(err), err
	}
	return notMeasured, refusal.New(nil, fmt.Sprintf("evenhide %s tells what each does", noun),
		"%s has no command %q: wanted %s", noun, args[1], verbList(verbs))
}

func isHelp(word string) bool { return slices.Contains([]string{"help", "--help", "-h"}, word) }

func hintOf(err error) string {
	var refused *refusal.Error
	if errors.As(err, &refused) {
		return refused.Hint
	}
	return ""
}

// misuse is an error about the command line of a command.
func misuse(command, format string, args ...any) error {
	return refusal.New(nil, fmt.Sprintf("evenhide %s --help shows the options", command), format, args...)
}
