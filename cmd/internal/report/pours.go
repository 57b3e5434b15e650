package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/dye"
)

// Pour is so much of a dye or of water, also in drops.
type Pour struct {
	Dye   string  `json:"dye"`
	ML    float64 `json:"ml"`
	Drops int     `json:"drops"`
}

// NewPour returns so many ml in drops as well.
func NewPour(name string, ml float64) Pour { return Pour{name, ml, int(math.Round(ml / dye.Drop))} }

func (p Pour) String() string { return fmt.Sprintf("%s of %s", p.amount(), p.Dye) }

func (p Pour) amount() string {
	const few = 10 // ml, below which drops are counted
	if p.ML < few {
		return fmt.Sprintf("%.4g ml (%d drops)", p.ML, p.Drops)
	}
	return fmt.Sprintf("%.5g ml", p.ML)
}

// dropSize says what a drop is.
func dropSize() string {
	return fmt.Sprintf("a drop is taken for %g ml: count out yours once", dye.Drop)
}

// Correction is what to pour into a mix in hand.
type Correction struct {
	Version    int              `json:"version"`
	Target     BlendTarget      `json:"target"`
	Mix        []shadebook.Part `json:"mix"`
	ML         float64          `json:"ml"`
	Now        Expected         `json:"now"`
	Add        []Pour           `json:"add"` // nothing: it is as close as these dyes and water bring it
	Then       Expected         `json:"then"`
	OutOfReach bool             `json:"out_of_reach"`
	Warnings   []string         `json:"warnings"`
}

// WriteText prints what to add.
func (c Correction) WriteText(w io.Writer) error {
	out := newSheet(w)
	fmt.Fprintf(out, "for %s\n", c.Target)
	lines := [][]string{append([]string{"now: " + blend(c.Mix)}, c.Now.cells()...)}
	if len(c.Add) > 0 {
		lines = append(lines, append([]string{"then"}, c.Then.cells()...))
	}
	table(out, fmt.Sprintf("%.6g ml in hand|expected ΔE00|it would be", c.ML), lines)
	var pours []string
	for _, p := range c.Add {
		pours = append(pours, p.String())
	}
	switch {
	case len(c.Add) > 0:
		fmt.Fprintf(out, "  add %s\n  %s\n", strings.Join(pours, " and "), dropSize())
	case c.OutOfReach:
		fmt.Fprintln(out, "  add nothing: none of these dyes, nor water, brings it closer; mix anew")
	default:
		fmt.Fprintln(out, "  add nothing: it is as close as these dyes and water bring it")
	}
	writeNotes(out, c.Warnings)
	fmt.Fprintln(out, cautions)
	return out.Flush()
}

// Scaled is a blend measured out.
type Scaled struct {
	Version int     `json:"version"`
	ML      float64 `json:"ml"`
	DropML  float64 `json:"drop_ml"`
	Pours   []Share `json:"pours"`
}

// Share is a part of a blend, measured out.
type Share struct {
	Parts float64 `json:"parts"`
	Pour
}

// NewScaled measures a blend out to so many ml together.
func NewScaled(parts []shadebook.Part, ml float64) Scaled {
	out := Scaled{Version: Version, ML: ml, DropML: dye.Drop, Pours: []Share{}}
	total := 0.0
	for _, p := range parts {
		total += p.Parts
	}
	for _, p := range parts {
		out.Pours = append(out.Pours, Share{p.Parts, NewPour(p.Dye, p.Parts/total*ml)})
	}
	return out
}

// WriteText prints a line a dye.
func (s Scaled) WriteText(w io.Writer) error {
	out := newSheet(w)
	var lines [][]string
	for _, p := range s.Pours {
		lines = append(lines, []string{p.Dye, fmt.Sprintf("%.6g", p.Parts), fmt.Sprintf("%.1f", p.ML), fmt.Sprint(p.Drops)})
	}
	table(out, "for "+fmt.Sprintf("%.6g ml", s.ML)+"|parts|ml|drops", lines)
	fmt.Fprintf(out, "  %s\n%s\n", dropSize(), cautions)
	return out.Flush()
}
