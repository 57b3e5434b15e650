package main

import (
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const root = "../.."

// TestREADME runs each command of the README's console blocks from the root of
// the repository, with one new shade book for all, and compares what it prints with
// what the README shows. With UPDATE set it writes what it prints into the README
// instead.
func TestREADME(t *testing.T) {
	path := root + "/README.md"
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const opening, closing = "```console\n", "```\n"
	parts := strings.Split(string(text), opening)
	if len(parts) < 3 {
		t.Fatal("the README shows fewer than two sessions")
	}
	t.Setenv(bookEnv, "")
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	for i, part := range parts[1:] {
		shown, rest, found := strings.Cut(part, closing)
		if !found {
			t.Fatalf("session %d has no end", i+1)
		}
		ran := session(t, shown)
		if os.Getenv("UPDATE") == "" {
			if diff := cmp.Diff(shown, ran); diff != "" {
				t.Errorf("session %d of the README (-shown +printed):\n%s", i+1, diff)
			}
		}
		parts[i+1] = ran + closing + rest
	}
	if os.Getenv("UPDATE") != "" {
		if err := os.WriteFile(path, []byte(strings.Join(parts, opening)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if ci, err := os.ReadFile(root + "/.ci/run"); err != nil || !strings.Contains(string(ci), "\ngo test ./...\n") || !strings.Contains(string(text), "\ngo test ./...\n") {
		t.Errorf("CI does not run the test command that the README gives (%v)", err)
	}
}

// session runs the commands of a console block, the lines that begin with "$ ",
// and returns them with what each printed.
func session(t *testing.T, shown string) string {
	var out strings.Builder
	for line := range strings.Lines(shown) {
		command, ok := strings.CutPrefix(line, "$ ")
		if !ok {
			continue
		}
		cmd := exec.Command("bash", "-c", command)
		cmd.Dir = root
		printed, err := cmd.CombinedOutput()
		if _, exited := err.(*exec.ExitError); err != nil && !exited {
			t.Fatal(err)
		}
		out.WriteString(line)
		out.Write(printed)
	}
	return out.String()
}
