package main

import (
	"fmt"
	"io"
	"runtime/debug"
	"slices"
	"strings"
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

// writeCommands lists commands, under a title unless it is empty, within 80 columns: the
// summary of a long command comes on a line of its own.
func writeCommands(w io.Writer, title string, commands []command) error {
	const column, gap = 36, 2
	var out strings.Builder
	if title != "" {
		fmt.Fprintf(&out, "%s\n\n", title)
	}
	for _, c := range commands {
		left := fmt.Sprintf("  %s %s", c.name, c.args)
		if len(left)+gap > column {
			fmt.Fprintln(&out, left)
			left = ""
		}
		fmt.Fprintf(&out, "%-*s%s\n", column, left, c.summary)
	}
	fmt.Fprintln(&out, "\nevenhide COMMAND --help lists the options of a command.")
	_, err := io.WriteString(w, out.String())
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
