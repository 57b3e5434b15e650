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
		parts = append(parts, fmt.Sprintf("%g", v))
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

// writeReadme puts the table between its marks in the README.
func writeReadme(path string, figures []figure, o options) error {
	const opening, closing = "<!-- accuracy -->\n", "<!-- /accuracy -->"
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
	fmt.Fprintf(&b, "`scripts/accuracy -photos %d -seed %d -level %s`, %d photos:\n\n", o.photos, o.first, o.level, o.photos*len(strings.Split(o.lights, ",")))
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
		f, measured := now[was.Name]
		// A tenth, and what rounding in another processor's arithmetic may do.
		const share, least = .1, .03
		for i, v := range was.Values {
			slack := share*v + least
			switch {
			case !measured || len(f.Values) != len(was.Values):
				slipped = errors.Join(slipped, fmt.Errorf("%s: not measured", was.Name))
			case was.Least > 0 && f.Values[i] < v-slack, was.Least == 0 && f.Values[i] > v+slack:
				slipped = errors.Join(slipped, fmt.Errorf("%s: %s, was %s", was.Name, was.number(f.Values[i]), was.number(v)))
			}
		}
	}
	return slipped
}
