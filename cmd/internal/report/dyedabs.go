package report

import (
	"fmt"
	"io"
	"strings"

	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// DyeDabs are the dabs of one bottle in one photo, as they are kept.
type DyeDabs struct {
	Version int        `json:"version"`
	Bottle  string     `json:"bottle"`
	Kept    int64      `json:"kept,omitempty"` // as which check; 0 in what is kept
	File    string     `json:"file"`
	Taken   string     `json:"taken"`
	Light   string     `json:"light"`
	Camera  string     `json:"camera"`
	Card    string     `json:"card"`
	HideLab [3]float64 `json:"hide_lab"` // D65, 2°
	HideDoubt
	Dabs []DyeDab `json:"dye_dabs"`
}

// HideDoubt is how well bare hide is known beside dabs.
type HideDoubt struct {
	HideCov    colour.Matrix `json:"hide_lab_cov"`
	HideShared Shared        `json:"hide_lab_shared,omitempty"`
	HideLit    float64       `json:"hide_lab_lit,omitempty"` // over the light on the card; 0 of what was kept without
}

// NewHideDoubt returns how well a reading of hide is known.
func NewHideDoubt(e tolerance.Estimate) HideDoubt { return HideDoubt{e.Cov, NewShared(e), e.Lit} }

// Shared is how far a reading moves in L*, a*, b* for one standard uncertainty of each
// source of error that the readings of its photo have in common, in one order; nil of what
// was kept without.
type Shared [][3]float64

// NewShared returns what a reading shares with others.
func NewShared(e tolerance.Estimate) (out Shared) {
	for _, s := range e.Shared {
		out = append(out, Triple(s))
	}
	return out
}

// DyeDab is the reading of a dab; Part of what it was laid from is dye, Of is what dye
// where it is a mix.
type DyeDab struct {
	Part   float64          `json:"part"`
	Of     []shadebook.Part `json:"of,omitempty"`
	Lab    [3]float64       `json:"lab"`
	Cov    colour.Matrix    `json:"lab_cov"`
	Shared Shared           `json:"lab_shared,omitempty"`
	Lit    float64          `json:"lab_lit,omitempty"`
}

// DabsKept is what was kept of a photo of dabs.
type DabsKept struct {
	Version int       `json:"version"`
	Bottles []DyeDabs `json:"bottles"`
}

// WriteText prints a line a dab, mixes last, and the checks that they are kept as.
func (k DabsKept) WriteText(w io.Writer) error {
	var lines, mixes [][]string
	for _, b := range k.Bottles {
		for _, d := range b.Dabs {
			rest := []string{fmt.Sprintf("%.4g", d.Part), labText(d.Lab)}
			switch {
			case len(d.Of) == 0:
				lines = append(lines, append([]string{b.Bottle}, rest...))
			case d.Of[0].Dye == b.Bottle: // it is kept with the others that are in it as well
				mixes = append(mixes, append([]string{d.mix()}, rest...))
			}
		}
	}
	out := newSheet(w)
	table(out, "dab kept|part of dye|L* a* b*", append(lines, mixes...))
	for _, b := range k.Bottles {
		writeKept(out, b.Kept, false, oneLine(b.Bottle))
	}
	return out.Flush()
}

// mix writes the parts of a mix.
func (d DyeDab) mix() string {
	var parts []string
	for _, p := range d.Of {
		parts = append(parts, fmt.Sprintf("%s %.4g", p.Dye, p.Parts))
	}
	return strings.Join(parts, ", ")
}
