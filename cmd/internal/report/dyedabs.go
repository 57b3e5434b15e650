package report

import (
	"fmt"
	"io"

	"evenhide/colour"
)

// DyeDabs are the dabs of one bottle in one photo, as they are kept.
type DyeDabs struct {
	Version int        `json:"version"`
	Bottle  string     `json:"bottle"`
	File    string     `json:"file"`
	Taken   string     `json:"taken"`
	Light   string     `json:"light"`
	Camera  string     `json:"camera"`
	Card    string     `json:"card"`
	HideLab [3]float64 `json:"hide_lab"` // D65, 2°
	Dabs    []DyeDab   `json:"dye_dabs"`
}

// DyeDab is the reading of a dab; Part of what it was laid from is dye.
type DyeDab struct {
	Part float64       `json:"part"`
	Lab  [3]float64    `json:"lab"`
	Cov  colour.Matrix `json:"lab_cov"`
}

// DabsKept is what was kept of a photo of dabs.
type DabsKept struct {
	Version int       `json:"version"`
	Bottles []DyeDabs `json:"bottles"`
}

// WriteText prints a line a dab.
func (k DabsKept) WriteText(w io.Writer) error {
	var lines [][]string
	for _, b := range k.Bottles {
		for _, d := range b.Dabs {
			lines = append(lines, []string{b.Bottle, fmt.Sprintf("%.4g", d.Part), labText(d.Lab)})
		}
	}
	return table(w, "dab kept|part of dye|L* a* b*", lines)
}
