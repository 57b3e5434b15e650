package report

import (
	"fmt"
	"io"
	"math"
	"slices"
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

// counted tells whether it is little enough to be counted in drops: forty of them, no more.
func (p Pour) counted() bool { return p.ML <= 2 }

func (p Pour) amount() string {
	if p.counted() {
		return fmt.Sprintf("%.4g ml (%d drops)", p.ML, p.Drops)
	}
	return fmt.Sprintf("%.5g ml", p.ML)
}

// writeDropSize says what a drop is, where one of the pours is counted.
func writeDropSize(w io.Writer, pours []Pour) {
	if slices.ContainsFunc(pours, Pour.counted) {
		fmt.Fprintf(w, "  a drop is taken for %g ml: count out yours once\n", dye.Drop)
	}
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
	ThenML     float64          `json:"then_ml"` // in all
	OutOfReach bool             `json:"out_of_reach"`
	PerhapsIn  bool             `json:"perhaps_in_reach"` // out of it, but the range of Then leaves that open
	Warnings   []string         `json:"warnings"`
}

// WriteText prints what to add.
func (c Correction) WriteText(w io.Writer) error {
	out := newSheet(w)
	fmt.Fprintf(out, "for %s\n", c.Target)
	writeNotes(out, c.Warnings) // a doubt comes before what it is a doubt of
	lines := [][]string{append([]string{"now: " + blend(c.Mix)}, c.Now.cells()...)}
	if len(c.Add) > 0 {
		lines = append(lines, append([]string{fmt.Sprintf("then: %.5g ml in all", c.ThenML)}, c.Then.cells()...))
	}
	table(out, fmt.Sprintf("%.6g ml in hand|expected ΔE00|it would be", c.ML), lines)
	var pours []string
	for _, p := range c.Add {
		pours = append(pours, p.String())
	}
	switch {
	case len(c.Add) > 0:
		if c.OutOfReach {
			say(out, "  %s from here: with the dyes named it comes no nearer than ΔE00 %.1f", reach(c.PerhapsIn), c.Then.DE00)
		}
		last := len(pours) - 1
		say(out, "  add %s", strings.Join(append(pours[:max(0, last-1)], strings.Join(pours[max(0, last-1):], " and ")), ", "))
		writeDropSize(out, c.Add)
	case c.OutOfReach:
		fmt.Fprintln(out, "  add nothing: none of these dyes, nor water, brings it closer; mix anew")
	default:
		fmt.Fprintln(out, "  add nothing: it is as close as these dyes and water bring it")
	}
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
	var pours []Pour
	for _, p := range s.Pours {
		lines = append(lines, []string{p.Dye, fmt.Sprintf("%.6g", p.Parts), fmt.Sprintf("%.1f", p.ML)})
		pours = append(pours, p.Pour)
	}
	headings := fmt.Sprintf("for %.6g ml|parts|ml", s.ML)
	if slices.ContainsFunc(pours, Pour.counted) {
		headings += "|drops"
		for i, p := range pours {
			drops := ""
			if p.counted() {
				drops = fmt.Sprint(p.Drops)
			}
			lines[i] = append(lines[i], drops)
		}
	}
	table(out, headings, lines)
	writeDropSize(out, pours)
	for _, p := range pours {
		if p.ML < dye.Drop {
			say(out, "  %s: less than a drop: make %.6g ml or more, or let some of it down in a known part first", oneLine(p.Dye), math.Ceil(s.ML*dye.Drop/p.ML))
		}
	}
	fmt.Fprintln(out, cautions)
	return out.Flush()
}
