package main

import (
	"errors"
	"io"

	"github.com/spf13/pflag"
)

// newFlags returns an empty set of options for a command.
func newFlags(command string) *pflag.FlagSet {
	fs := pflag.NewFlagSet(command, pflag.ContinueOnError)
	fs.SetOutput(io.Discard)
	return fs
}

// parse reads args into fs. It is done when there is nothing left to do: help was
// wanted and is printed, or the options are wrong.
func parse(fs *pflag.FlagSet, args []string, usage string, stdout io.Writer) (done bool, code int, err error) {
	switch err := fs.Parse(args); {
	case errors.Is(err, pflag.ErrHelp):
		_, err = io.WriteString(stdout, usage)
		return true, allShip, err
	case err != nil:
		return true, notMeasured, misuse(fs.Name(), "%v", err)
	}
	return false, 0, nil
}

func exitOf(err error) int {
	if err != nil {
		return notMeasured
	}
	return allShip
}
