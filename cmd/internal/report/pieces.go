package report

import (
	"fmt"
	"io"

	"evenhide/cmd/internal/shadebook"
)

// PieceShown is what a shade book holds of a piece.
type PieceShown struct {
	Version int        `json:"version"`
	Name    string     `json:"name"`
	Colour  string     `json:"colour"`
	Hide    string     `json:"hide"`
	Batch   string     `json:"batch"`
	Added   string     `json:"added"`
	Coats   []Coat     `json:"coats"`
	Dropped []CoatGone `json:"dropped_coats"`
	Checks  []Checked  `json:"checks"` // of this piece alone, newest first
}

// Coat is one coat of dye.
type Coat struct {
	Number      int      `json:"number"`
	Has         int      `json:"has"` // coats, the piece with this one
	When        string   `json:"when"`
	Temperature *float64 `json:"temperature"` // °C
	Bottle      string   `json:"bottle"`
	Blend       string   `json:"blend"`
	day         string
}

// CoatGone is a coat that was dropped.
type CoatGone struct {
	Number int    `json:"number"`
	When   string `json:"when"`
	Bottle string `json:"bottle"`
	Blend  string `json:"blend"`
	By     string `json:"dropped_by"`
	At     string `json:"dropped"`
	Why    string `json:"why"`
	day    string // of When
	on     string // and of At
}

// NewPieceShown returns what the book holds of a piece.
func NewPieceShown(p shadebook.Piece, coats []shadebook.Coat, dropped []shadebook.CoatDrop, checks []shadebook.Check) PieceShown {
	out := PieceShown{Version: Version, Name: p.Name, Colour: p.Colour, Hide: p.Hide, Batch: p.Batch, Added: Time(p.Added), Coats: []Coat{}, Dropped: []CoatGone{}, Checks: []Checked{}}
	for _, c := range coats {
		out.Coats = append(out.Coats, Coat{Number: c.Number, Has: c.Has, When: Time(c.When), Temperature: c.Temperature, Bottle: c.Bottle, Blend: c.Blend, day: day(c.When)})
	}
	for _, d := range dropped {
		c := d.Coat
		out.Dropped = append(out.Dropped, CoatGone{c.Number, Time(c.When), c.Bottle, c.Blend, d.By, Time(d.At), d.Why, day(c.When), day(d.At)})
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
	lines = nil
	for _, d := range p.Dropped {
		lines = append(lines, []string{fmt.Sprint(d.Number), d.day, d.on, d.By, d.Why})
	}
	out.section("coats that were dropped", "coat|on|dropped|by|why", lines)
	out.section("checks", checkedHeadings, checkedLines(p.Checks))
	return out.Flush()
}
