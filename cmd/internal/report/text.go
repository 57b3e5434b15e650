package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"evenhide/colour/tolerance"
)

// WriteText prints r for a maker to read at a glance: a line a piece, and under
// it why it does not ship.
func WriteText(w io.Writer, r Report) error {
	out := bufio.NewWriter(w)
	for i, p := range r.Photos {
		if i > 0 {
			fmt.Fprintln(out)
		}
		p.writeText(out)
	}
	return out.Flush()
}

func (p Photo) writeText(w io.Writer) {
	if p.Error != "" {
		fmt.Fprintf(w, "%s: not judged\n", p.File)
		say(w, "  %s", strings.TrimPrefix(p.Error, p.File+": "))
		writeHint(w, "  ", p.Hint)
		return
	}
	fmt.Fprintf(w, "%s: against the %s\n", p.File, p.Reference.Against())
	tab := tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	fmt.Fprintln(tab, "  piece\tverdict\tΔE00\tblotch\tthe piece is")
	for _, piece := range p.Pieces {
		if piece.Measures == nil || piece.Verdict == tolerance.Retake { // figures would be taken for true
			fmt.Fprintf(tab, "  %s\t%s\t–\t–\tnot judged\n", piece.Name, piece.Verdict)
			continue
		}
		fmt.Fprintf(tab, "  %s\t%s\t%.1f (%.1f to %.1f)\t%.1f\t%s\n", piece.Name, piece.Verdict, piece.DE00, piece.Interval[0], piece.Interval[1], piece.Blotch.RMS, piece.Words)
	}
	tab.Flush()
	p.writeReasons(w)
	var hints []string
	for _, piece := range p.Pieces {
		if piece.Hint != "" && !slices.Contains(hints, piece.Hint) {
			hints = append(hints, piece.Hint)
		}
	}
	for _, h := range hints {
		writeHint(w, "  ", h)
	}
	for _, warning := range p.Calibration.Warnings {
		say(w, "  note: %s", warning)
	}
	writeKept(w, p.Kept, p.KeptBefore, strings.Join(p.KeptPieces, ", "))
}

// writeKept says as which check the shade book keeps something, unless it is 0.
func writeKept(w io.Writer, check int64, before bool, what string) {
	switch {
	case before:
		say(w, "  in the book already as check %d: %s", check, what)
	case check != 0:
		say(w, "  kept as check %d: %s", check, what)
	}
}

// writeReasons prints the reasons of each piece; what several pieces have all of in
// common, as those of a blurred photo, is said once, where the first of them comes.
func (p Photo) writeReasons(w io.Writer) {
	var order []string
	pieces := map[string][]string{}
	for _, piece := range p.Pieces {
		reasons := strings.Join(piece.shownReasons(), "\n")
		if pieces[reasons] == nil && reasons != "" {
			order = append(order, reasons)
		}
		pieces[reasons] = append(pieces[reasons], piece.Name)
	}
	for _, reasons := range order {
		for r := range strings.SplitSeq(reasons, "\n") {
			say(w, "  %s: %s", strings.Join(pieces[reasons], ", "), r)
		}
	}
}

// shownReasons says why a piece does not ship, or what to do about one that does.
// Direction in a surface that is even enough to ship is a fold or the grain, and
// nothing to act on.
func (p Piece) shownReasons() []string {
	if p.Verdict == tolerance.Ship && p.Hint == "" {
		return nil
	}
	if p.Measures != nil && p.Blotch.Streaky && p.Verdict != tolerance.Retake && p.Verdict != tolerance.Ship {
		return append(slices.Clone(p.Reasons), fmt.Sprintf("it has a direction: streaks at %.0f° (0° is level, 90° upright)", p.Blotch.StreakDeg))
	}
	return p.Reasons
}

// Against says in words what pieces were held against.
func (r Reference) Against() string {
	switch r.Source {
	case InFrame:
		return "swatch in the photo"
	case Kept:
		return fmt.Sprintf("kept swatch of %s, read %sin %s with %s", r.Colour, r.day(),
			named("the light", r.Light, "a light without a name"), named("the camera", r.Camera, "an unknown camera"))
	}
	return fmt.Sprintf("reference given, L* %.1f a* %.1f b* %.1f", r.Lab[0], r.Lab[1], r.Lab[2])
}

// day returns the day a kept swatch was read, for a sentence.
func (r Reference) day() string {
	day, _, found := strings.Cut(r.Kept, "T")
	if !found {
		return ""
	}
	return "on " + day + " "
}

// named returns a kind of thing with its name, or what to call one that has none.
func named(kind, name, none string) string {
	if name == "" {
		return none
	}
	return fmt.Sprintf("%s “%s”", kind, name)
}

func writeHint(w io.Writer, indent, hint string) {
	if hint != "" {
		say(w, "%shint: %s", indent, hint)
	}
}
