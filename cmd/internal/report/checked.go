package report

import (
	"fmt"
	"strings"

	"evenhide/cmd/internal/shadebook"
)

// Checked is what a stored check said of one piece; ΔE00 and its interval are nil
// when it could not be measured.
type Checked struct {
	Check    int64       `json:"check"` // its number in the book
	Corrects int64       `json:"corrects,omitempty"`
	At       string      `json:"at"`
	Photo    string      `json:"photo"`
	Batch    string      `json:"batch,omitempty"`
	Piece    string      `json:"piece"`
	Verdict  string      `json:"verdict"`
	DE00     *float64    `json:"de00"`
	Interval *[2]float64 `json:"interval"`
	day      string      // it was taken on
}

// NewChecked returns a line for each piece of the checks.
func NewChecked(checks []shadebook.Check) []Checked {
	out := []Checked{}
	for _, c := range checks {
		for _, p := range c.Pieces {
			line := Checked{Check: c.ID, Corrects: c.Corrects, At: Time(c.Stored), Photo: c.Photo.File, Batch: c.Batch, Piece: p.Name, Verdict: p.Verdict, day: day(takenOrStored(c))}
			if p.Measured != nil {
				line.DE00, line.Interval = &p.Measured.DE00, &p.Measured.Interval
			}
			out = append(out, line)
		}
	}
	return out
}

// CheckInWords says what a check is of, and when its photo was taken.
func CheckInWords(c shadebook.Check) string {
	var names []string
	for _, p := range c.Pieces {
		names = append(names, oneLine(p.Name))
	}
	of := map[string]string{
		shadebook.OfBottle: " of bottle " + oneLine(c.Bottle),
		shadebook.OfLadder: ", the ladder of bottle " + oneLine(c.Bottle),
		shadebook.OfDabs:   ", dabs of bottle " + oneLine(c.Bottle),
		shadebook.OfPieces: fmt.Sprintf(" of %s (%s)", oneLine(strings.Join(names, ", ")), oneLine(c.Colour)),
	}[c.Kind]
	return fmt.Sprintf("check %d%s, %s", c.ID, of, day(takenOrStored(c)))
}

const checkedHeadings = "check|on|photo|piece|verdict|ΔE00"

func checkedLines(all []Checked) (lines [][]string) {
	for _, c := range all {
		de := ""
		if c.DE00 != nil {
			de = fmt.Sprintf("%.1f (%.1f to %.1f)", *c.DE00, c.Interval[0], c.Interval[1])
		}
		lines = append(lines, []string{fmt.Sprint(c.Check), c.day, c.Photo, c.Piece, c.Verdict, de})
	}
	return lines
}
