package main

import (
	"errors"
	"fmt"
	"io"

	"evenhide/calibrate/refusal"
)

// Exit codes.
const (
	allShip     = 0
	someDoNot   = 1 // a piece needs something else
	notMeasured = 2 // something could not be measured, or the command line is wrong
)

const usage = `evenhide tells how far dyed leather is from its colour's reference swatch.

  evenhide check [options] PHOTO...   measure pieces in photos and judge them
  evenhide card --out FILE            write the grey card to print
  evenhide card measure PHOTO         measure a printed card by bought greys
  evenhide help                       show this

evenhide COMMAND --help lists a command's options.
`

// run does what args say and returns the exit code. What it prints on success
// goes to stdout.
func run(args []string, stdout io.Writer) (int, error) {
	name := "help"
	if len(args) > 0 {
		name, args = args[0], args[1:]
	}
	switch name {
	case "check":
		return runCheck(args, stdout)
	case "card":
		return runCard(args, stdout)
	case "help", "--help", "-h":
		_, err := io.WriteString(stdout, usage)
		return exitOf(err), err
	}
	return notMeasured, refusal.New(nil, "evenhide help lists the commands", "no command %q", name)
}

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
