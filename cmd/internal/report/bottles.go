package report

import (
	"fmt"
	"io"
	"slices"
	"time"

	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/tolerance"
)

// BottleShown is what the shade book knows of a bottle.
type BottleShown struct {
	Version int `json:"version"`
	Bottle
	Checks  []BottleCheck `json:"checks"`  // newest first
	Falling *Falling      `json:"falling"` // null when it does not for sure
	Ladder  *LadderKept   `json:"ladder"`  // the newest; null for none
	Dabs    *DabsShown    `json:"dabs"`    // for blends, the newest; null for none
}

// NewBottleShown returns a bottle without what was kept of its dabs.
func NewBottleShown(b shadebook.Bottle) BottleShown {
	return BottleShown{Version: Version, Bottle: newBottle(b), Checks: []BottleCheck{}}
}

// BottleCheck is one check of a bottle. When is the time of the photo, or where that
// does not say, the time at which it was stored.
type BottleCheck struct {
	Check int64  `json:"check"`
	At    string `json:"at"`
	Photo string `json:"photo"`
	Strength
	Verdict tolerance.Verdict `json:"verdict"`
	When    time.Time         `json:"-"`
}

// NewBottleCheck returns a kept check of a bottle with what was said of it.
func NewBottleCheck(c shadebook.Check, d Dab) BottleCheck {
	when := takenOrStored(c)
	return BottleCheck{Check: c.ID, At: Time(when), Photo: c.Photo.File, Strength: d.Strength, Verdict: d.Verdict, When: when}
}

func takenOrStored(c shadebook.Check) time.Time {
	if c.Taken.IsZero() {
		return c.Stored
	}
	return c.Taken
}

// Falling is by how much of the reference's strength a bottle has lost since a day.
type Falling struct {
	By       float64    `json:"by"`
	Interval [2]float64 `json:"interval"`
	Since    string     `json:"since"`
	day      string
}

// NewFalling returns a fall since a day.
func NewFalling(f tolerance.Fall, since time.Time) *Falling {
	return &Falling{By: f.By, Interval: [2]float64{f.By - f.U, f.By + f.U}, Since: Time(since), day: day(since)}
}

func (f Falling) String() string {
	return fmt.Sprintf("falling: by %.0f %% of the reference's strength (%.0f to %.0f) since %s; thinned by pouring back, or settling?",
		100*f.By, 100*f.Interval[0], 100*f.Interval[1], f.day)
}

// LadderKept is a ladder of a bottle in the shade book.
type LadderKept struct {
	Check  int64  `json:"check"`
	At     string `json:"at"`
	Bottle string `json:"bottle"`
	Photo  string `json:"photo"`
	Rungs  []Rung `json:"rungs"`
	day    string
}

// NewLadderKept returns a kept ladder.
func NewLadderKept(c shadebook.Check, rungs []Rung) LadderKept {
	when := takenOrStored(c)
	return LadderKept{Check: c.ID, At: Time(when), Bottle: c.Bottle, Photo: c.Photo.File, Rungs: rungs, day: day(when)}
}

// Day returns the day of the ladder where the reader is.
func (l LadderKept) Day() string { return l.day }

// WriteText prints the bottle, its checks and its ladder.
func (s BottleShown) WriteText(w io.Writer) error {
	out := newSheet(w)
	fmt.Fprintln(out, oneLine(s.Name))
	out.facts([][2]string{{"dye", s.Dye}, {"lot", s.Lot}, {"opened", s.day}, {"notes", s.Notes}})
	switch {
	case len(s.Checks) > 0:
	case s.Ladder != nil || s.Dabs != nil:
		fmt.Fprintln(out, "  strength not checked yet")
	default:
		fmt.Fprintln(out, "  not checked yet")
	}
	var lines [][]string
	for _, c := range s.Checks {
		lines = append(lines, append(c.line(), c.Photo))
	}
	out.section("checks", bottleCheckHeadings+"|photo", lines)
	if s.Falling != nil {
		say(out, "  %s", s.Falling)
	}
	if s.Ladder != nil {
		s.Ladder.write(out, "ladder")
	}
	if s.Dabs != nil {
		s.Dabs.write(out, "dabs for blends")
	}
	return out.Flush()
}

const bottleCheckHeadings = "check|on|~verdict|strength|shade left|~at equal strength"

func (c BottleCheck) line() []string {
	return append([]string{fmt.Sprint(c.Check), day(c.When), string(c.Verdict)}, c.cells(c.Verdict)...)
}

func (l LadderKept) write(out sheet, of string) {
	var lines [][]string
	for _, r := range l.Rungs {
		lines = append(lines, append([]string{fmt.Sprintf("%.4g", r.Part)}, r.cells("")...))
	}
	out.section(fmt.Sprintf("%s, check %d on %s", of, l.Check, l.day), strengthHeadings("part of dye"), lines)
}

// DyeShown is what the shade book knows of all bottles of a dye.
type DyeShown struct {
	Version int           `json:"version"`
	Dye     string        `json:"dye"`
	Bottles []BottleShown `json:"bottles"` // by name
}

// WriteText prints the checks of all bottles, newest first, and which of them fall; what
// photos they are of each bottle shows.
func (s DyeShown) WriteText(w io.Writer) error {
	type check struct {
		BottleCheck
		bottle string
	}
	var checks []check
	for _, b := range s.Bottles {
		for _, c := range b.Checks {
			checks = append(checks, check{c, b.Name})
		}
	}
	slices.SortStableFunc(checks, func(a, b check) int { return b.When.Compare(a.When) })
	var lines [][]string
	for _, c := range checks {
		lines = append(lines, append([]string{c.bottle}, c.line()...))
	}
	out := newSheet(w)
	fmt.Fprintln(out, oneLine(s.Dye))
	if len(lines) == 0 {
		fmt.Fprintln(out, "  strength not checked yet")
	} else {
		table(out, "~bottle|"+bottleCheckHeadings, lines)
	}
	for _, b := range s.Bottles {
		if b.Falling != nil {
			say(out, "  %s: %s", oneLine(b.Name), b.Falling)
		}
	}
	for _, b := range s.Bottles {
		if b.Ladder != nil {
			b.Ladder.write(out, "ladder of "+oneLine(b.Name))
		}
		if b.Dabs != nil {
			b.Dabs.write(out, "dabs for blends of "+oneLine(b.Name))
		}
	}
	return out.Flush()
}
