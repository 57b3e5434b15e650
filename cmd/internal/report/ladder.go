package report

import (
	"fmt"
	"io"

	"evenhide/colour"
)

// Ladder is what dabs at known dilutions in one photo tell of a bottle.
type Ladder struct {
	Version     int          `json:"version"`
	File        string       `json:"file"`
	Taken       string       `json:"taken"`
	Camera      string       `json:"camera"`
	Card        *Card        `json:"card"`
	Calibration *Calibration `json:"calibration"`
	Light       string       `json:"light"`
	HideLab     [3]float64   `json:"hide_lab"` // D65, 2°
	HideDoubt
	Rungs  []Rung  `json:"rungs"` // in reading order
	Water          // 0 with Advice, which then says why
	InHand *InHand `json:"in_hand,omitempty"`
	Advice string  `json:"advice"`
	// Bottle is whose ladder the shade book keeps as check Kept; KeptBefore says that
	// it did so already.
	Bottle     string `json:"bottle,omitempty"`
	Kept       int64  `json:"kept,omitempty"`
	KeptBefore bool   `json:"kept_before,omitempty"`
}

// Rung is one dab of a ladder: Part of its mix is what is in the bottle, the rest is
// water.
type Rung struct {
	Part   float64       `json:"part"`
	Cov    colour.Matrix `json:"lab_cov"`
	Shared Shared        `json:"lab_shared,omitempty"`
	Lit    float64       `json:"lab_lit,omitempty"`
	U      float64       `json:"strength_u"` // expanded, k = 2
	Strength
}

// WriteText prints l for a maker: a line a dab, then the water.
func (l Ladder) WriteText(w io.Writer) error {
	out := newSheet(w)
	fmt.Fprintf(out, "%s: against the reference dab in the photo\n", l.File)
	var lines [][]string
	for _, r := range l.Rungs {
		lines = append(lines, append([]string{fmt.Sprintf("%.4g", r.Part)}, r.cells("")...))
	}
	table(out, strengthHeadings("part of dye"), lines)
	for _, warning := range l.Calibration.Warnings {
		say(out, "  note: %s", warning)
	}
	say(out, "  %s", l.Advice)
	if l.Likely > 0 {
		if l.InHand != nil {
			say(out, "  %s", l.InHand)
		}
		fmt.Fprintln(out, cautions)
	}
	writeKept(out, l.Kept, l.KeptBefore, l.Bottle)
	return out.Flush()
}
