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

// ShownDab is the reading of a dab; Part of what it was laid from is dye, Of is what dye
// where it is a mix.
type ShownDab struct {
	Part float64          `json:"part"`
	Of   []shadebook.Part `json:"of,omitempty"`
	Lab  [3]float64       `json:"lab"`
	name string
}

// NewDabsShown returns kept dabs of a bottle.
func NewDabsShown(c shadebook.Check, d DyeDabs) *DabsShown {
	when := takenOrStored(c)
	out := DabsShown{Check: c.ID, At: Time(when), Photo: c.Photo.File, Light: d.Light, Dabs: []ShownDab{}, day: day(when)}
	for _, one := range d.Dabs {
		name := d.Bottle
		if len(one.Of) > 0 {
			name = one.mix()
		}
		out.Dabs = append(out.Dabs, ShownDab{one.Part, one.Of, one.Lab, name})
	}
	return &out
}

func (d DabsShown) write(out sheet, of string) {
	var lines [][]string
	for _, one := range d.Dabs {
		lines = append(lines, []string{one.name, fmt.Sprintf("%.4g", one.Part), labText(one.Lab), d.Light, d.Photo})
	}
	out.section(fmt.Sprintf("%s, check %d on %s", of, d.Check, d.day), "dab|part of dye|L* a* b*|light|photo", lines)
}
