package report

import (
	"fmt"

	"evenhide/cmd/internal/shadebook"
)

// DabsShown are the dabs of a bottle that the shade book keeps for blends.
type DabsShown struct {
	Check int64      `json:"check"`
	At    string     `json:"at"`
	Photo string     `json:"photo"`
	Light string     `json:"light"`
	Dabs  []ShownDab `json:"dye_dabs"`
	day   string
}

// ShownDab is the reading of a dab; Part of what it was laid from is dye.
type ShownDab struct {
	Part float64    `json:"part"`
	Lab  [3]float64 `json:"lab"`
}

// NewDabsShown returns kept dabs of a bottle.
func NewDabsShown(c shadebook.Check, d DyeDabs) *DabsShown {
	when := takenOrStored(c)
	out := DabsShown{Check: c.ID, At: Time(when), Photo: c.Photo.File, Light: d.Light, Dabs: []ShownDab{}, day: day(when)}
	for _, one := range d.Dabs {
		out.Dabs = append(out.Dabs, ShownDab{one.Part, one.Lab})
	}
	return &out
}

func (d DabsShown) write(out sheet, of string) {
	var lines [][]string
	for _, one := range d.Dabs {
		lines = append(lines, []string{fmt.Sprintf("%.4g", one.Part), labText(one.Lab), d.Light, d.Photo})
	}
	out.section(fmt.Sprintf("%s, check %d on %s", of, d.Check, d.day), "part of dye|L* a* b*|light|photo", lines)
}
