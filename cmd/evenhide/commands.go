package main

import (
	"fmt"
	"io"
	"runtime/debug"
	"slices"
	"strings"
	"text/tabwriter"
)

// command is one thing that evenhide does.
type command struct {
	name    string // a word, or a noun and its verb: "check", "colour add"
	args    string // what follows it, in short: "NAME"
	summary string // in a line
	// run parses the arguments after the name, prints to stdout and returns the
	// exit code. Its own --help has everything that the summary leaves out.
	run func(args []string, stdout io.Writer) (int, error)
}

// commands returns every command in the order in which help lists them. Each file
// of commands adds its own here.
func commands() []command {
	return slices.Concat(
		checkCommands(),
		cardCommands(),
		colourCommands(),
		swatchCommands(),
		pieceCommands(),
		batchCommands(),
		materialCommands(),
		bottleCheckCommands(),
		blendCommands(),
		bookCommands(),
	)
}

const purpose = "evenhide tells how far dyed leather is from its colour's reference swatch."

// find returns the command that args begin with and what follows; the longer name
// goes first, as the verb of a noun that is a command itself.
func find(all []command, args []string) (*command, []string) {
	for words := min(2, len(args)); words > 0; words-- {
		for _, c := range all {
			if slices.Equal(strings.Fields(c.name), args[:words]) {
				return &c, args[words:]
			}
		}
	}
	return nil, nil
}

// verbs returns the commands of a noun.
func verbs(all []command, noun string) (out []command) {
	for _, c := range all {
		if strings.HasPrefix(c.name, noun+" ") {
			out = append(out, c)
		}
	}
	return out
}

// verbList returns the verbs of commands as a sentence has them: "add, list or show".
func verbList(commands []command) string {
	var out []string
	for _, c := range commands {
		_, verb, _ := strings.Cut(c.name, " ")
		out = append(out, verb)
	}
	if last := len(out) - 1; last > 0 {
		return strings.Join(out[:last], ", ") + " or " + out[last]
	}
	return strings.Join(out, "")
}

// writeCommands lists commands, under a title unless it is empty.
func writeCommands(w io.Writer, title string, commands []command) error {
	if title != "" {
		fmt.Fprintf(w, "%s\n\n", title)
	}
	tab := tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	for _, c := range commands {
		fmt.Fprintf(tab, "  evenhide %s %s\t%s\n", c.name, c.args, c.summary)
	}
	if err := tab.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintln(w, "\nEach command's --help lists its options.")
	return err
}

// version returns what the program was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "(not a released version)"
	}
	return info.Main.Version
}
