package report

import (
	"fmt"
	"io"

	"evenhide/colour/tolerance"
)

// CoatNext is how many more coats a piece needs, or a new piece of a colour.
type CoatNext struct {
	Version  int               `json:"version"`
	Piece    string            `json:"piece"` // "" for a new one
	Colour   string            `json:"colour"`
	Coats    int               `json:"coats"` // that it has
	Verdict  tolerance.Verdict `json:"verdict"`
	More     *MoreCoats        `json:"more"` // nil when a photo has to be taken first
	Reasons  []string          `json:"reasons"`
	Hint     string            `json:"hint"`
	Readings []CoatReading     `json:"readings"`
	// Earlier is how many other pieces of the colour the forecast is told from.
	Earlier int            `json:"earlier_pieces"`
	LeftOut []CheckLeftOut `json:"checks_left_out"`
}

// MoreCoats is a forecast: Least to Most holds the number with 90 %. Never is the
// probability that no number gets there, Over that the last one goes past.
type MoreCoats struct {
	Least  int     `json:"least"`
	Likely int     `json:"likely"`
	Most   int     `json:"most"`
	Never  float64 `json:"never"`
	Over   float64 `json:"over"`
	// Within are the strengths that the tolerance allows, EndsAt is the likely one after
	// a dozen more coats.
	Within [2]float64 `json:"strength_within"`
	EndsAt float64    `json:"strength_ends_at"`
}

// CoatReading is what a kept check said of the piece after a coat.
type CoatReading struct {
	Coat      int        `json:"coat"`
	Check     int64      `json:"check"`
	Strength  float64    `json:"strength"`
	Interval  [2]float64 `json:"interval"`
	ShadeDE00 float64    `json:"shade_de00"`
}

// CheckLeftOut is a kept check that tells nothing of the piece's strength, and why.
type CheckLeftOut struct {
	Check  int64  `json:"check"`
	Reason string `json:"reason"`
}

// Than returns the number in words, for a piece that has so many coats.
func (m MoreCoats) Than(has int) string {
	more, coats := " more", "coats"
	if has == 0 {
		more = ""
	}
	if m.Likely == 1 {
		coats = "coat"
	}
	text := fmt.Sprintf("%d%s %s", m.Likely, more, coats)
	if m.Least != m.Most {
		text += fmt.Sprintf(" (%d to %d)", m.Least, m.Most)
	}
	return text
}

// WriteText prints the forecast for a maker.
func (n CoatNext) WriteText(w io.Writer) error {
	out := newSheet(w)
	reasons := n.Reasons
	if n.Piece == "" && len(reasons) > 0 { // a verdict is of a piece that there is
		say(out, "a new piece of %s %s", oneLine(n.Colour), reasons[0])
		reasons = reasons[1:]
	} else {
		fmt.Fprintf(out, "%s: %s\n", oneLine(n.Piece), n.Verdict)
	}
	for _, r := range reasons {
		say(out, "  %s", r)
	}
	writeHint(out, "  ", n.Hint)
	var lines [][]string
	for _, r := range n.Readings {
		lines = append(lines, []string{fmt.Sprint(r.Coat), fmt.Sprintf("%.0f %% (%.0f to %.0f)", 100*r.Strength, 100*r.Interval[0], 100*r.Interval[1]),
			fmt.Sprintf("%.1f", r.ShadeDE00), fmt.Sprint(r.Check)})
	}
	out.section("read so far", "coat|strength|shade left|check", lines)
	lines = nil
	for _, l := range n.LeftOut {
		lines = append(lines, []string{fmt.Sprint(l.Check), l.Reason})
	}
	out.section("checks that do not count", "check|why", lines)
	return out.Flush()
}
