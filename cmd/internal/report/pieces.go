package report

import (
	"fmt"
	"io"

	"evenhide/cmd/internal/shadebook"
)

// PieceShown is what a shade book holds of a piece.
type PieceShown struct {
	Version int       `json:"version"`
	Name    string    `json:"name"`
	Colour  string    `json:"colour"`
	Hide    string    `json:"hide"`
	Batch   string    `json:"batch"`
	Added   string    `json:"added"`
	Coats   []Coat    `json:"coats"`
	Checks  []Checked `json:"checks"` // of this piece alone, newest first
}

// Coat is one coat of dye.
type Coat struct {
	Number      int      `json:"number"`
	When        string   `json:"when"`
	Temperature *float64 `json:"temperature"` // °C
	Bottle      string   `json:"bottle"`
	Blend       string   `json:"blend"`
	day         string
}

// NewPieceShown returns what the book holds of a piece.
func NewPieceShown(p shadebook.Piece, coats []shadebook.Coat, checks []shadebook.Check) PieceShown {
	out := PieceShown{Version: Version, Name: p.Name, Colour: p.Colour, Hide: p.Hide, Batch: p.Batch, Added: Time(p.Added), Coats: []Coat{}, Checks: []Checked{}}
	for _, c := range coats {
		out.Coats = append(out.Coats, Coat{Number: c.Number, When: Time(c.When), Temperature: c.Temperature, Bottle: c.Bottle, Blend: c.Blend, day: day(c.When)})
	}
	for _, c := range NewChecked(checks) {
		if c.Piece == p.Name {
			out.Checks = append(out.Checks, c)
		}
	}
	return out
}

// WriteText prints the piece, its coats and its checks.
func (p PieceShown) WriteText(w io.Writer) error {
	out := newSheet(w)
	fmt.Fprintln(out, oneLine(p.Name))
	out.facts([][2]string{{"colour", p.Colour}, {"hide", p.Hide}, {"batch", p.Batch}})
	var lines [][]string
	for _, c := range p.Coats {
		warmth := ""
		if c.Temperature != nil {
			warmth = fmt.Sprintf("%.4g °C", *c.Temperature)
		}
		lines = append(lines, []string{fmt.Sprint(c.Number), c.day, warmth, c.Bottle, c.Blend})
	}
	out.section("coats", "coat|on|room|bottle|blend", lines)
	out.section("checks", checkedHeadings, checkedLines(p.Checks))
	return out.Flush()
}
