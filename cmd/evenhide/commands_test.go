package main

import (
	"io"
	"strings"
	"testing"
	"unicode/utf8"
)

// TestEveryCommandHelps holds each command of the table to its name and its help.
func TestEveryCommandHelps(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range commands() {
		var out strings.Builder
		code, err := run(append(strings.Fields(c.name), "--help"), &out)
		first, _, _ := strings.Cut(out.String(), "\n")
		if code != allShip || err != nil || !strings.HasPrefix(first+" ", "evenhide "+c.name+" ") {
			t.Errorf("%s --help: exit code %d, %v, beginning %q", c.name, code, err, first)
		}
		if seen[c.name] || c.summary == "" {
			t.Errorf("%s: twice in the table, or without a summary", c.name)
		}
		seen[c.name] = true
	}
}

// The list of commands fits a terminal of 80 columns.
func TestListOfCommandsFits(t *testing.T) {
	var out strings.Builder
	if _, err := run([]string{"help"}, &out); err != nil {
		t.Fatal(err)
	}
	const most = 80
	for line := range strings.Lines(out.String()) {
		if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > most {
			t.Errorf("%d columns: %s", n, line)
		}
	}
}

func TestNounAndVerb(t *testing.T) {
	told := ""
	say := func(name string) command {
		return command{name, "NAME", "say it", func(args []string, _ io.Writer) (int, error) {
			told = name + ": " + strings.Join(args, " ")
			return allShip, nil
		}}
	}
	all := []command{say("dab"), say("dab show"), say("vat add"), say("vat list"), say("vat show")}
	for args, want := range map[string]string{
		"dab x": "dab: x", "dab show x y": "dab show: x y", "vat add --help": "vat add: --help",
	} {
		c, rest := find(all, strings.Fields(args))
		if c == nil {
			t.Fatalf("%s: not found", args)
		}
		if c.run(rest, io.Discard); told != want {
			t.Errorf("%s: ran %q, wanted %q", args, told, want)
		}
	}
	if c, _ := find(all, []string{"vat"}); c != nil {
		t.Errorf("vat alone is no command, found %s", c.name)
	}
	for noun, want := range map[string]string{"vat": "  vat add NAME                      say it\n", "weigh": ""} {
		var out strings.Builder
		_, err := runNoun([]string{noun}, verbs(all, noun), &out)
		if (err == nil) != (want != "") || !strings.HasPrefix(out.String(), want) {
			t.Errorf("%s: %v, printed %q", noun, err, out.String())
		}
	}
	code, err := runNoun([]string{"vat", "stir"}, verbs(all, "vat"), io.Discard)
	const want = `vat has no command "stir": wanted add, list or show`
	if code != notMeasured || err == nil || err.Error() != want {
		t.Errorf("exit code %d, %v; wanted %s", code, err, want)
	}
}
