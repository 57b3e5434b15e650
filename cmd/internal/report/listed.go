package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"
)

// Listed is a list of records, or one record with what belongs to it. As JSON it
// is an object with the version of the JSON and its fields.
type Listed interface {
	// WriteText prints it for a maker to read.
	WriteText(w io.Writer) error
}

// sheet gathers the parts of a text. The first error in writing one is Flush's.
type sheet struct{ *bufio.Writer }

func newSheet(w io.Writer) sheet { return sheet{bufio.NewWriter(w)} }

// section writes a table under a heading, unless it would be empty.
func (s sheet) section(heading, headings string, lines [][]string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(s, "\n%s\n", heading)
	table(s, headings, lines)
}

// facts writes named facts in two columns, without those that are empty.
func (s sheet) facts(facts [][2]string) {
	tab := tabwriter.NewWriter(s, 0, 0, 3, ' ', 0)
	for _, f := range facts {
		if f[1] != "" {
			fmt.Fprintf(tab, "  %s\t%s\n", f[0], oneLine(f[1]))
		}
	}
	tab.Flush()
}

// oneLine keeps a note's line breaks and tabs from tearing a table; an empty cell
// is a dash.
func oneLine(text string) string {
	if text = strings.Join(strings.Fields(text), " "); text == "" {
		return "–"
	}
	return text
}

// day returns the day of t where the reader is, "" for none.
func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Local().Format(time.DateOnly)
}

// number returns v in as few digits as it has, "" for 0, which is unknown.
func number(v float64) string {
	if v == 0 {
		return ""
	}
	return fmt.Sprintf("%.6g", v)
}
