package report

import (
	"fmt"
	"io"

	"evenhide/cmd/internal/shadebook"
)

// SwatchKept is a swatch as it was just kept.
type SwatchKept struct {
	Version  int      `json:"version"`
	Colour   string   `json:"colour"`
	Swatch   Swatch   `json:"swatch"`
	Warnings []string `json:"warnings"`
}

// NewSwatchKept returns the swatch that was kept, with what to know of its photos.
func NewSwatchKept(s shadebook.Swatch, warnings []string) SwatchKept {
	return SwatchKept{Version: Version, Colour: s.Colour, Swatch: NewSwatch(s), Warnings: append([]string{}, warnings...)}
}

// WriteText prints what was kept.
func (k SwatchKept) WriteText(w io.Writer) error {
	out := newSheet(w)
	fmt.Fprintf(out, "%s: swatch kept\n  %s\n  known to %s\n", oneLine(k.Colour), k.Swatch, k.Swatch.doubt())
	for _, warning := range k.Warnings {
		say(out, "  note: %s", warning)
	}
	return out.Flush()
}
