// Command crosscheck compares the colour package with culori, an independent
// library in another language, on seeded random colours. It is run by
// scripts/crosscheck, which installs culori; its argument is the script that asks
// culori. It fails on any disagreement that it cannot explain.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"

	"evenhide/colour"
)

const (
	seed  = 2005
	pairs = 10_000
	// agreement is far above the rounding of float64 through a dozen functions
	// (1e-12 here) and far below any digit that a report prints.
	agreement = 1e-9
)

// question is what culori is asked about; answer is what it says.
type question struct {
	Pairs [][2][3]float64 `json:"pairs"`
	RGB   [][3]float64    `json:"rgb"`
}

type answer struct {
	Differences map[string][]*float64
	Labs        map[string][][3]float64
}

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "crosscheck:", err)
		os.Exit(1)
	}
}

func run(args []string, out io.Writer) error {
	if len(args) != 1 {
		return fmt.Errorf("want one argument, the script that asks culori; found %d", len(args))
	}
	q := draw(seed, pairs)
	theirs, err := ask(args[0], q)
	if err != nil {
		return err
	}
	var results []result
	for _, d := range differences() {
		results = append(results, compareDifference(d, q.Pairs, theirs.Differences[d.name]))
	}
	for _, s := range []colour.Space{colour.SRGB(), colour.DisplayP3()} {
		results = append(results, compareLab(s, q.RGB, theirs.Labs[s.Name]))
	}
	return printTable(out, results)
}

// ask runs the script under node with q as its input.
func ask(script string, q question) (answer, error) {
	in, err := json.Marshal(q)
	if err != nil {
		return answer{}, err
	}
	cmd := exec.Command("node", script)
	cmd.Stdin, cmd.Stderr = bytes.NewReader(in), os.Stderr
	reply, err := cmd.Output()
	if err != nil {
		return answer{}, fmt.Errorf("node %s: %w", script, err)
	}
	var a answer
	return a, json.Unmarshal(reply, &a)
}

// printTable writes the table and returns an error if anything stayed unexplained.
func printTable(out io.Writer, results []result) error {
	fmt.Fprintf(out, "%-20s %8s %10s %10s %12s\n", "", "compared", "worst", "explained", "unexplained")
	var bad []string
	for _, r := range results {
		fmt.Fprintf(out, "%-20s %8d %10.1e %10d %12d\n", r.name, r.compared, r.worst, r.explained, len(r.unexplained))
		bad = append(bad, r.unexplained...)
		if r.compared != pairs {
			bad = append(bad, fmt.Sprintf("%s: %d compared, want %d", r.name, r.compared, pairs))
		}
	}
	fmt.Fprintf(out, "worst: the largest difference where both agree, which is to %.0e\n"+
		"explained: hues exactly 180° apart, where the last bit decides culori's side of a jump\n", agreement)
	if len(bad) > 0 {
		return fmt.Errorf("%d disagreements, the first few:\n%s", len(bad), strings.Join(bad[:min(len(bad), 5)], "\n"))
	}
	return nil
}
