package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"
)

// text returns the figure's numbers and limits as printed.
func (f figure) text() (measured, limit string) {
	var parts []string
	for _, v := range f.Values {
		parts = append(parts, f.number(v))
	}
	measured = strings.TrimSpace(strings.Join(parts, " / ") + " " + f.Unit)
	parts = nil
	for _, v := range f.Most {
		parts = append(parts, strings.Replace(fmt.Sprintf("%g", v), "+Inf", "–", 1))
	}
	switch most := strings.Join(parts, " / "); {
	case f.Least > 0 && most != "":
		limit = fmt.Sprintf("%g to %s %s", f.Least, most, f.Unit)
	case f.Least > 0:
		limit = fmt.Sprintf("at least %g %s", f.Least, f.Unit)
	case most != "":
		limit = strings.TrimSpace(most + " " + f.Unit)
	}
	return measured, limit
}

func (f figure) number(v float64) string {
	if f.Unit == "" {
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.1f", v)
}

func printText(w io.Writer, figures []figure) error {
	tab := tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	fmt.Fprintln(tab, "figure\tmeasured\twanted\tover\tworst case\t")
	for _, f := range figures {
		measured, limit := f.text()
		mark := ""
		if !f.ok() {
			mark = "MISSED"
		}
		fmt.Fprintf(tab, "%s\t%s\t%s\t%d\t%s\t%s\n", f.Name, measured, limit, f.N, f.Worst, mark)
	}
	return tab.Flush()
}

// writeTable puts a table, under a line on how it was made, between its marks in the
// README.
func writeTable(path, mark, how string, figures []figure) error {
	opening, closing := "<!-- "+mark+" -->\n", "<!-- /"+mark+" -->"
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	before, rest, found := strings.Cut(string(text), opening)
	_, after, closed := strings.Cut(rest, closing)
	if !found || !closed {
		return fmt.Errorf("%s has no place for the table, between %s and %s", path, strings.TrimSpace(opening), closing)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s:\n\n", how)
	b.WriteString("| figure | measured | wanted | over | worst case |\n| --- | --- | --- | --- | --- |\n")
	for _, f := range figures {
		measured, limit := f.text()
		if !f.ok() {
			measured = "**" + measured + "**"
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %d | %s |\n", f.Name, measured, limit, f.N, f.Worst)
	}
	return os.WriteFile(path, []byte(before+opening+b.String()+closing+after), 0o644)
}

// compare holds the figures against those recorded in the file at path, or records
// them: a change that makes a number worse must be seen and meant.
func compare(path string, figures []figure, update bool) error {
	if update {
		text, err := json.MarshalIndent(figures, "", " ")
		if err != nil {
			return err
		}
		return os.WriteFile(path, append(text, '\n'), 0o644)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	var recorded []figure
	if err := json.Unmarshal(text, &recorded); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	now := map[string]figure{}
	for _, f := range figures {
		now[f.Name] = f
	}
	var slipped error
	for _, was := range recorded {
		if err := was.slipped(now[was.Name]); err != nil {
			slipped = errors.Join(slipped, fmt.Errorf("%s: %w", was.Name, err))
		}
	}
	return slipped
}

// slipped says how the figure now is worse than it was: fewer cases, a number
// worse by more than a tenth (a share by more than one case), or a limit missed
// that was kept.
func (was figure) slipped(now figure) error {
	if now.N < was.N || len(now.Values) != len(was.Values) {
		return fmt.Errorf("over %d, was %d", now.N, was.N)
	}
	for i, v := range was.Values {
		const share, rounding = .1, .03 // another processor's arithmetic
		slack := share*v + rounding
		if len(was.Values) == 1 && was.Unit == "%" {
			slack = 100/float64(was.N) + rounding
		}
		better := was.Least > 0 || was.Name == "pieces judged"
		if (better && now.Values[i] < v-slack) || (!better && now.Values[i] > v+slack) {
			return fmt.Errorf("%s, was %s", was.number(now.Values[i]), was.number(v))
		}
	}
	if was.ok() && !now.ok() {
		return fmt.Errorf("%v misses what is wanted, and did not", now.Values)
	}
	return nil
}
