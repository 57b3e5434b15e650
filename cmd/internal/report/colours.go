package report

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"

	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Colours lists the colours of a shade book.
type Colours struct {
	Version int      `json:"version"`
	Colours []Colour `json:"colours"`
}

// Colour is a colour with its settings; times are RFC 3339.
type Colour struct {
	Name            string           `json:"name"`
	Tolerance       float64          `json:"tolerance"`
	BlotchTolerance float64          `json:"blotch_tolerance"`
	KL              float64          `json:"kl"`
	Coats           int              `json:"coats"` // 0 is unknown
	Blend           []shadebook.Part `json:"blend"`
	DryingHours     float64          `json:"drying_hours"`
	Notes           string           `json:"notes"`
	Since           string           `json:"since"` // when the settings became these
}

func newColour(c shadebook.Colour) Colour {
	s := c.Settings
	return Colour{Name: c.Name, Tolerance: s.Tolerance, BlotchTolerance: s.BlotchTolerance, KL: s.KL, Coats: s.Coats,
		Blend: append([]shadebook.Part{}, s.Blend...), DryingHours: s.DryingHours, Notes: s.Notes, Since: Time(c.Changed)}
}

// NewColours returns the list of colours.
func NewColours(colours []shadebook.Colour) Colours {
	out := Colours{Version: Version, Colours: []Colour{}}
	for _, c := range colours {
		out.Colours = append(out.Colours, newColour(c))
	}
	return out
}

// WriteText prints a line a colour.
func (l Colours) WriteText(w io.Writer) error {
	var lines [][]string
	for _, c := range l.Colours {
		lines = append(lines, []string{c.Name, number(c.Tolerance), number(c.BlotchTolerance), number(c.KL),
			number(float64(c.Coats)), blend(c.Blend)})
	}
	return table(w, "colour|tolerance|blotch|kL|coats|blend", lines)
}

// blend says what a colour is mixed from.
func blend(parts []shadebook.Part) string {
	var out []string
	for _, p := range parts {
		out = append(out, fmt.Sprintf("%s %.6g", p.Dye, p.Parts))
	}
	return strings.Join(out, ", ")
}

// Changes says in words how settings changed.
func Changes(before, after shadebook.Settings) string {
	var out []string
	change := func(what, from, to string) {
		if from != to {
			out = append(out, fmt.Sprintf("%s %s, was %s", what, cmp.Or(to, "open"), cmp.Or(from, "open")))
		}
	}
	change("tolerance", number(before.Tolerance), number(after.Tolerance))
	change("blotch tolerance", number(before.BlotchTolerance), number(after.BlotchTolerance))
	change("kL", number(before.KL), number(after.KL))
	change("coats", number(float64(before.Coats)), number(float64(after.Coats)))
	change("blend", blend(before.Blend), blend(after.Blend))
	change("drying hours", number(before.DryingHours), number(after.DryingHours))
	if before.Notes != after.Notes {
		out = append(out, "the notes")
	}
	if len(out) == 0 {
		return "nothing changed"
	}
	return strings.Join(out, "; ")
}

// ColourShown is what there is to say of a colour.
type ColourShown struct {
	Version  int            `json:"version"`
	Colour   Colour         `json:"colour"`
	Swatches []Swatch       `json:"swatches"` // newest first: the first is the current one
	Checks   []Checked      `json:"checks"`   // newest first
	Verdicts map[string]int `json:"verdicts"` // of all pieces in checks that count
	History  []Change       `json:"history"`  // newest first
	Recipes  int            `json:"recipes"`  // that were kept
	newest   string         // of the recipes, what it is mixed from
}

// Swatch is a swatch that was kept: its Lab (D65, 2°) and how far each of L*, a*, b*
// can be trusted (k = 2).
type Swatch struct {
	Lab    [3]float64            `json:"lab"`
	U      [3]float64            `json:"u"`            // with the same card
	UOther [3]float64            `json:"u_other_card"` // whose greys are as little known
	Light  string                `json:"light"`
	Camera string                `json:"camera"`
	Card   string                `json:"card"`
	Taken  string                `json:"taken"`
	Kept   string                `json:"kept"`
	Photos []shadebook.PhotoFile `json:"photos"`
	day    string
}

// Change is a change of a colour's settings, or its beginning.
type Change struct {
	At   string `json:"at"`
	What string `json:"what"`
	day  string
}

// NewColourShown returns what there is to say of a colour.
func NewColourShown(s shadebook.ColourSummary, recipes []shadebook.Recipe) ColourShown {
	out := ColourShown{Version: Version, Colour: newColour(s.Colour), Swatches: []Swatch{}, Checks: NewChecked(s.Checks), Verdicts: s.Verdicts, History: []Change{}, Recipes: len(recipes)}
	if len(recipes) > 0 { // newest first
		out.newest = blend(recipes[0].Parts)
	}
	for _, sw := range s.Swatches {
		out.Swatches = append(out.Swatches, NewSwatch(sw))
	}
	for i, h := range s.History {
		what := "added"
		if i+1 < len(s.History) {
			what = Changes(s.History[i+1].Settings, h.Settings)
		}
		out.History = append(out.History, Change{At: Time(h.At), What: what, day: day(h.At)})
	}
	return out
}

// NewSwatch returns a kept swatch.
func NewSwatch(s shadebook.Swatch) Swatch {
	const k = 2
	out := Swatch{Lab: Triple(s.Lab), Light: s.Light, Camera: s.Camera, Card: s.Card, Taken: Time(s.Taken), Kept: Time(s.Kept),
		Photos: append([]shadebook.PhotoFile{}, s.Photos...), day: "taken " + day(s.Taken)}
	if s.Taken.IsZero() {
		out.day = "kept " + day(s.Kept)
	}
	// What two photos differ by is half each one's own; comparisons have it in their
	// model, and s.Cov has not.
	floor := tolerance.SameLight().Floor
	photo := floor * floor / 2 / float64(max(len(s.Photos), 1))
	for i := range out.U {
		out.U[i] = k * math.Sqrt(s.Cov[i][i]+photo)
		out.UOther[i] = k * math.Sqrt(s.Cov[i][i]+photo+s.Print[i][i])
	}
	return out
}

// String says a swatch in a sentence.
func (s Swatch) String() string {
	photos := "1 photo"
	if n := len(s.Photos); n != 1 {
		photos = fmt.Sprintf("%d photos", n)
	}
	return fmt.Sprintf("L* %.1f a* %.1f b* %.1f, from %s %s in %s with %s", s.Lab[0], s.Lab[1], s.Lab[2], photos, s.day,
		named("the light", s.Light, "a light without a name"), named("the camera", s.Camera, "an unknown camera"))
}

// doubt says how far a swatch can be trusted.
func (s Swatch) doubt() string {
	return fmt.Sprintf("L* ± %.1f a* ± %.1f b* ± %.1f with %s; ± %.1f, %.1f, %.1f with another", s.U[0], s.U[1], s.U[2],
		named("the card", s.Card, "the same greys"), s.UOther[0], s.UOther[1], s.UOther[2])
}

// WriteText prints the colour, its swatches, checks and changes.
func (s ColourShown) WriteText(w io.Writer) error {
	out := newSheet(w)
	c := s.Colour
	fmt.Fprintln(out, oneLine(c.Name))
	swatch, doubt := "none kept yet", ""
	if len(s.Swatches) > 0 {
		swatch, doubt = s.Swatches[0].String(), s.Swatches[0].doubt()
	}
	out.facts([][2]string{
		{"swatch", swatch}, {"known to", doubt},
		{"ships up to", fmt.Sprintf("ΔE00 %s (kL %s), blotch %s", number(c.Tolerance), number(c.KL), number(c.BlotchTolerance))},
		{"coats", number(float64(c.Coats))}, {"drying", number(c.DryingHours) + " h between coats"},
		{"blend", blend(c.Blend)}, {"recipes", s.recipes()}, {"notes", c.Notes}, {"judged", s.counts()},
	})
	if len(s.Swatches) > 1 {
		now := s.Swatches[0].lab()
		var lines [][]string
		for _, old := range s.Swatches[1:] {
			de := colour.DeltaE2000(now, old.lab(), colour.UnitWeights())
			lines = append(lines, []string{old.day, old.Light, old.Camera, fmt.Sprintf("%.1f", old.Lab[0]),
				fmt.Sprintf("%.1f", old.Lab[1]), fmt.Sprintf("%.1f", old.Lab[2]), fmt.Sprintf("%.1f", de)})
		}
		out.section("earlier swatches", "photos|light|camera|L*|a*|b*|ΔE00 to the present one", lines)
	}
	out.section("latest checks", checkedHeadings, checkedLines(s.Checks))
	var lines [][]string
	for _, h := range s.History {
		lines = append(lines, []string{h.day, h.What})
	}
	out.section("changes", "on|what", lines)
	if len(c.Blend) > 0 || s.Recipes > 0 {
		fmt.Fprintf(out, "\n%s\n", cautions)
	}
	return out.Flush()
}

// recipes says which recipe was kept last.
func (s ColourShown) recipes() string {
	if s.Recipes == 0 {
		return ""
	}
	return fmt.Sprintf("%d kept, the newest %s; evenhide blend list shows all", s.Recipes, s.newest)
}

func (s Swatch) lab() colour.Lab { return colour.Lab{L: s.Lab[0], A: s.Lab[1], B: s.Lab[2]} }

// counts says how many pieces had which verdict.
func (s ColourShown) counts() string {
	order := Verdicts()
	var out []string
	for _, v := range slices.SortedFunc(maps.Keys(s.Verdicts), func(a, b string) int {
		return cmp.Or(cmp.Compare(slices.Index(order, tolerance.Verdict(a)), slices.Index(order, tolerance.Verdict(b))), cmp.Compare(a, b))
	}) {
		out = append(out, fmt.Sprintf("%d %s", s.Verdicts[v], v))
	}
	return strings.Join(out, ", ")
}
