package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

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
		return true, exitOf(err), err
	case err != nil:
		return true, notMeasured, misuse(fs.Name(), "%s", unparsed(err))
	}
	return false, 0, nil
}

// unparsed says in this program's words what is wrong with an option.
func unparsed(err error) string {
	var unknown *pflag.NotExistError
	var bad *pflag.InvalidValueError
	var bare *pflag.ValueRequiredError
	switch {
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() == "":
		return fmt.Sprintf("no option --%s", unknown.GetSpecifiedName())
	case errors.As(err, &unknown):
		return fmt.Sprintf("no option -%s: options begin with two hyphens", unknown.GetSpecifiedShortnames())
	case errors.As(err, &bad) && bad.GetFlag().Value.Type() == "float64":
		return fmt.Sprintf("--%s %s: wanted a number such as 2.5", bad.GetFlag().Name, bad.GetValue())
	case errors.As(err, &bad) && strings.HasPrefix(bad.GetFlag().Value.Type(), "int"):
		return fmt.Sprintf("--%s %s: wanted a whole number", bad.GetFlag().Name, bad.GetValue())
	case errors.As(err, &bare):
		return fmt.Sprintf("nothing follows --%s", bare.GetSpecifiedName())
	}
	return err.Error()
}

func exitOf(err error) int {
	if err != nil {
		return notMeasured
	}
	return allShip
}

// aboveNought refuses an option's number that is not above 0 or far too large.
func aboveNought(command, option string, v float64) error {
	const most = 1000 // no limit that means anything is larger, and NaN is not smaller
	if !(v > 0 && v <= most) {
		return misuse(command, "--%s %v: wanted a number above 0, at most %d", option, v, most)
	}
	return nil
}
