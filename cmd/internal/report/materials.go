package report

import (
	"fmt"
	"io"

	"evenhide/cmd/internal/shadebook"
)

// Hides lists the hides of a shade book.
type Hides struct {
	Version int    `json:"version"`
	Hides   []Hide `json:"hides"`
}

// Hide is a hide or a lot of them.
type Hide struct {
	Name        string  `json:"name"`
	Lot         string  `json:"lot"`
	ThicknessMM float64 `json:"thickness_mm"` // 0 is unknown
	Finish      string  `json:"finish"`
	Notes       string  `json:"notes"`
	Added       string  `json:"added"`
}

// NewHides returns the list of hides.
func NewHides(hides []shadebook.Hide) Hides {
	out := Hides{Version: Version, Hides: []Hide{}}
	for _, h := range hides {
		out.Hides = append(out.Hides, Hide{Name: h.Name, Lot: h.Lot, ThicknessMM: h.ThicknessMM, Finish: h.Finish, Notes: h.Notes, Added: Time(h.Added)})
	}
	return out
}

// WriteText prints a line a hide.
func (l Hides) WriteText(w io.Writer) error {
	var lines [][]string
	for _, h := range l.Hides {
		thick := ""
		if h.ThicknessMM > 0 {
			thick = fmt.Sprintf("%.1f mm", h.ThicknessMM)
		}
		lines = append(lines, []string{h.Name, h.Lot, thick, h.Finish, h.Notes})
	}
	return table(w, "hide|lot|thickness|finish|notes", lines)
}

// Bottles lists the bottles of a shade book.
type Bottles struct {
	Version int      `json:"version"`
	Bottles []Bottle `json:"bottles"`
}

// Bottle is a bottle of dye.
type Bottle struct {
	Name   string `json:"name"`
	Dye    string `json:"dye"`
	Lot    string `json:"lot"`
	Opened string `json:"opened"` // "" is unknown
	Notes  string `json:"notes"`
	Added  string `json:"added"`
	day    string
}

// NewBottles returns the list of bottles.
func NewBottles(bottles []shadebook.Bottle) Bottles {
	out := Bottles{Version: Version, Bottles: []Bottle{}}
	for _, b := range bottles {
		out.Bottles = append(out.Bottles, newBottle(b))
	}
	return out
}

func newBottle(b shadebook.Bottle) Bottle {
	return Bottle{Name: b.Name, Dye: b.Dye, Lot: b.MakerLot, Opened: Time(b.Opened), Notes: b.Notes, Added: Time(b.Added), day: day(b.Opened)}
}

// WriteText prints a line a bottle.
func (l Bottles) WriteText(w io.Writer) error {
	var lines [][]string
	for _, b := range l.Bottles {
		lines = append(lines, []string{b.Name, b.Dye, b.Lot, b.day, b.Notes})
	}
	return table(w, "bottle|dye|lot|opened|notes", lines)
}
