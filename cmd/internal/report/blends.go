package report

import (
	"fmt"
	"io"

	"evenhide/cmd/internal/shadebook"
)

// WaterName is what a blend calls water.
const WaterName = "water"

func labText(v [3]float64) string { return fmt.Sprintf("L* %.1f a* %.1f b* %.1f", v[0], v[1], v[2]) }

// BlendTarget is the colour that a blend is to give.
type BlendTarget struct {
	Source string     `json:"source"`
	Colour string     `json:"colour"` // of the shade book, or ""
	Lab    [3]float64 `json:"lab"`    // D65, 2°
}

func (t BlendTarget) String() string {
	what := map[string]string{InFrame: "the swatch in the photo", Kept: "the kept swatch", Given: "the colour given"}[t.Source]
	if t.Colour != "" {
		what = t.Colour + ", " + what
	}
	return what + ", " + labText(t.Lab)
}

// Expected is the colour that a blend is predicted to give, against the target; the
// true ΔE00 lies in Interval with 95 % probability.
type Expected struct {
	Lab      [3]float64 `json:"lab"`
	DE00     float64    `json:"de00"`
	Interval [2]float64 `json:"interval"`
	Words    string     `json:"words"`
}

func (e Expected) cells() []string {
	return []string{fmt.Sprintf("%.1f (%.1f to %.1f)", e.DE00, e.Interval[0], e.Interval[1]), e.Words}
}

// Blends are blends proposed for a target, the fewest dyes first.
type Blends struct {
	Version int         `json:"version"`
	Target  BlendTarget `json:"target"`
	Blends  []Blend     `json:"blends"`
	// Nearest is the closest that the dyes come in any amounts.
	Nearest    Expected `json:"nearest"`
	OutOfReach bool     `json:"out_of_reach"`     // of these dyes: Nearest is over half the tolerance off
	PerhapsIn  bool     `json:"perhaps_in_reach"` // out of it, but the range of Nearest leaves that open
	Kept       int64    `json:"kept,omitempty"`
	Warnings   []string `json:"warnings"`
}

// Blend is one blend in whole parts.
type Blend struct {
	Parts []shadebook.Part `json:"parts"`
	Expected
}

// WriteText prints a line a blend.
func (b Blends) WriteText(w io.Writer) error {
	out := newSheet(w)
	fmt.Fprintf(out, "for %s\n", b.Target)
	writeNotes(out, b.Warnings)
	var lines [][]string
	for _, p := range b.Blends {
		lines = append(lines, append([]string{blend(p.Parts)}, p.cells()...))
	}
	table(out, "blend|expected ΔE00|it would be", lines)
	if b.OutOfReach {
		say(out, "  %s of these dyes: the nearest they come is %s, ΔE00 %.1f off, %s", reach(b.PerhapsIn), labText(b.Nearest.Lab), b.Nearest.DE00, b.Nearest.Words)
	}
	if b.Kept != 0 {
		fmt.Fprintf(out, "  kept as recipe %d\n", b.Kept)
	}
	fmt.Fprintln(out, cautions)
	return out.Flush()
}

func reach(perhapsIn bool) string {
	if perhapsIn {
		return "perhaps out of reach"
	}
	return "out of reach"
}

func writeNotes(w io.Writer, notes []string) {
	for _, n := range notes {
		say(w, "  note: %s", n)
	}
}
