package report

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/tolerance"
)

// Batch is what a batch holds. It has no time of a check in it, so that the same
// photos give the same report, however often their check was interrupted.
type Batch struct {
	Version   int        `json:"version"`
	Name      string     `json:"name"`
	Colour    string     `json:"colour"`
	State     string     `json:"state"`
	Decisions []Decision `json:"decisions"` // oldest first
	// What the pieces are judged by (ΔE00), and since when where they were checked by
	// something else. AsDecided has verdicts and limits as the decision was made on them.
	AsDecided       bool           `json:"as_decided,omitempty"`
	Tolerance       float64        `json:"tolerance"`
	BlotchTolerance float64        `json:"blotch_tolerance"`
	JudgedSince     string         `json:"judged_anew_since,omitempty"`
	Dropped         []Dropped      `json:"dropped,omitempty"`
	Photos          int            `json:"photos"`
	Count           map[string]int `json:"count"`      // of pieces by verdict; all five stand in it
	NotJudged       []NotJudged    `json:"not_judged"` // photos to take again
	Pieces          []BatchPiece   `json:"pieces"`
	Mean            *[3]float64    `json:"mean_lab"`      // of the pieces that were measured, against the swatch
	Spread          float64        `json:"spread_de00"`   // RMS ΔE00 of them about it
	Furthest        *Apart         `json:"furthest"`      // of all that were measured
	Shipping        *Apart         `json:"furthest_ship"` // of those that ship
	LotLimit        float64        `json:"lot_limit_de00"`
	Lots            [][]string     `json:"lots"` // of all that were measured, the largest first
	Next            []string       `json:"next"`
}

// Decision is an approval, a rejection or a reopening of a batch; At is RFC 3339.
type Decision struct {
	Says string `json:"says"`
	By   string `json:"by"`
	At   string `json:"at"`
	Why  string `json:"why"`
	day  string
}

// Dropped is a photo that was taken out of a batch; At is RFC 3339.
type Dropped struct {
	Photo string `json:"photo"`
	By    string `json:"by"`
	At    string `json:"at"`
	Why   string `json:"why"`
	day   string
}

// NewDropped returns the photos that were dropped, as they are printed.
func NewDropped(all []shadebook.Drop) (out []Dropped) {
	for _, d := range all {
		out = append(out, Dropped{Photo: filepath.Base(d.Photo.File), By: d.By, At: Time(d.At), Why: d.Why, day: day(d.At)})
	}
	return out
}

// NotJudged is a photo that gave nothing.
type NotJudged struct {
	Photo string `json:"photo"`
	Why   string `json:"why"`
}

// BatchPiece is a piece of a batch; the figures are nil when it was not measured.
type BatchPiece struct {
	Name     string      `json:"name"`
	Photo    string      `json:"photo"`
	Verdict  string      `json:"verdict"`
	DE00     *float64    `json:"de00"`
	Interval *[2]float64 `json:"interval"`
	Blotch   *float64    `json:"blotch_rms_de00"`
	Strength *float64    `json:"strength,omitempty"`
	// Lab is D65, 2°; as far as the swatch in a photo differs from that in others, so
	// does this from what the photo alone says.
	Lab *[3]float64 `json:"lab"`
	Lot int         `json:"lot"` // from 1; 0 when it was not measured
}

// Apart are two pieces and the difference between them.
type Apart struct {
	Pieces   [2]string  `json:"pieces"`
	DE00     float64    `json:"de00"`
	Interval [2]float64 `json:"interval"`
	Words    string     `json:"words"` // the second against the first
}

// Verdicts are the verdicts in the order in which they are listed.
func Verdicts() []tolerance.Verdict {
	return []tolerance.Verdict{tolerance.Ship, tolerance.AnotherCoat, tolerance.Hold, tolerance.LookAgain, tolerance.Retake}
}

// NewDecisions returns decisions as they are printed.
func NewDecisions(all []shadebook.Decision) []Decision {
	out := []Decision{}
	for _, d := range all {
		out = append(out, Decision{Says: d.Says, By: d.By, At: Time(d.At), Why: d.Why, day: day(d.At)})
	}
	return out
}

// NotShipping returns how many pieces and photos stand in the way of approval.
func (b Batch) NotShipping() int {
	n := len(b.NotJudged)
	for verdict, count := range b.Count {
		if verdict != string(tolerance.Ship) {
			n += count
		}
	}
	return n
}

// InTheWay says what stands in the way of approval: "2 hold, 1 photo to retake".
func (b Batch) InTheWay() string {
	var parts []string
	for _, v := range Verdicts() {
		if n := b.Count[string(v)]; n > 0 && v != tolerance.Ship {
			parts = append(parts, fmt.Sprintf("%d %s", n, v))
		}
	}
	if n := len(b.NotJudged); n > 0 {
		parts = append(parts, count(n, "photo")+" to retake")
	}
	return strings.Join(parts, ", ")
}

// Retakes returns how many pieces and photos were not judged.
func (b Batch) Retakes() int { return b.Count[string(tolerance.Retake)] + len(b.NotJudged) }

// WriteText prints the batch for a maker to act on.
func (b Batch) WriteText(w io.Writer) error {
	s := newSheet(w)
	fmt.Fprintf(s, "%s: %s of %s in %s, %s\n", b.Name, count(len(b.Pieces), "piece"), b.Colour, count(b.Photos, "photo"), b.State)
	for _, d := range b.Decisions {
		say(s, "  %s by %s on %s%s", d.Says, oneLine(d.By), d.day, because(d.Why))
	}
	if how := b.judgedHow(); how != "" {
		say(s, "  %s: ΔE00 %.4g, blotch %.4g", how, b.Tolerance, b.BlotchTolerance)
	}
	if b.Photos > 0 {
		table(s, "verdict|pieces|which", b.verdictLines())
	}
	for _, p := range b.NotJudged {
		say(s, "  photo %s: %s", p.Photo, oneLine(p.Why))
	}
	for _, d := range b.Dropped {
		say(s, "  photo %s: dropped by %s on %s%s", oneLine(d.Photo), oneLine(d.By), d.day, because(d.Why))
	}
	b.writeFigures(s)
	if len(b.Next) > 0 {
		fmt.Fprintln(s, "\nnext")
	}
	for _, n := range b.Next {
		say(s, "  %s", n)
	}
	return s.Flush()
}

// judgedHow says by which tolerances pieces were judged; "" when no others come into question.
func (b Batch) judgedHow() string {
	since, err := time.Parse(time.RFC3339, b.JudgedSince)
	switch {
	case b.AsDecided:
		return "the decision was made on these verdicts, by the tolerances"
	case b.State != shadebook.BatchOpen:
		return "its verdicts were not kept then; worked out again by the tolerances"
	case err == nil:
		return "judged anew by the tolerances since " + day(since)
	}
	return ""
}

func because(why string) string {
	if why == "" {
		return ""
	}
	return ": " + oneLine(why)
}

// verdictLines counts the verdicts and names the pieces of all but those that ship. How
// many pieces a photo to retake shows nobody knows.
func (b Batch) verdictLines() (lines [][]string) {
	for _, v := range Verdicts() {
		var names []string
		for _, p := range b.Pieces {
			if p.Verdict == string(v) && v != tolerance.Ship {
				names = append(names, b.short(p.Name))
			}
		}
		n, photos := b.Count[string(v)], 0
		if v == tolerance.Retake {
			photos = len(b.NotJudged)
		}
		if n > 0 || photos == 0 {
			lines = append(lines, withNames([]string{string(v), fmt.Sprint(n)}, names)...)
		}
		if photos > 0 {
			lines = append(lines, []string{string(v), count(photos, "photo"), "below"})
		}
	}
	return lines
}

// writeFigures says how well the pieces match each other.
func (b Batch) writeFigures(s sheet) {
	if b.Mean == nil {
		return
	}
	m := b.Mean
	fmt.Fprintf(s, "\n  mean L* %.1f a* %.1f b* %.1f, spread %.1f (RMS ΔE00)\n", m[0], m[1], m[2], b.Spread)
	if b.Furthest != nil {
		say(s, "  furthest apart: %s", b.apart(*b.Furthest))
	}
	if b.Shipping != nil && *b.Shipping != *b.Furthest {
		say(s, "  of those that ship: %s", b.apart(*b.Shipping))
	}
	if b.Furthest != nil {
		fmt.Fprintln(s, "  pieces of one order must also match each other, not only the swatch")
	}
	var lines [][]string
	for i, lot := range b.Lots {
		var names []string
		for _, p := range b.Pieces { // in the order of the photos, where 10 comes after 9
			if p.Lot != i+1 {
				continue
			}
			name := b.short(p.Name)
			if p.Verdict != string(tolerance.Ship) {
				name += " (" + p.Verdict + ")"
			}
			names = append(names, name)
		}
		lines = append(lines, withNames([]string{fmt.Sprint(i + 1), fmt.Sprint(len(lot))}, names)...)
	}
	s.section(fmt.Sprintf("lots: any two pieces of one differ by at most ΔE00 %.2g as measured", b.LotLimit), "lot|pieces|which", lines)
}

// apart says how far two pieces are from each other.
func (b Batch) apart(a Apart) string {
	return fmt.Sprintf("%s to %s, ΔE00 %.1f (%.1f to %.1f), %s", b.short(a.Pieces[0]), b.short(a.Pieces[1]), a.DE00, a.Interval[0], a.Interval[1], a.Words)
}

// short leaves the batch's name out of the name of a piece.
func (b Batch) short(piece string) string { return strings.TrimPrefix(piece, b.Name+"/") }

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Batches lists the batches of a shade book.
type Batches struct {
	Version int           `json:"version"`
	Batches []BatchListed `json:"batches"` // newest first
}

// BatchListed is a batch in a list; Opened is RFC 3339.
type BatchListed struct {
	Name   string `json:"name"`
	Colour string `json:"colour"`
	State  string `json:"state"`
	Opened string `json:"opened"`
	By     string `json:"by"`
	day    string
}

// NewBatches returns the list of batches.
func NewBatches(all []shadebook.Batch) Batches {
	out := Batches{Version: Version, Batches: []BatchListed{}}
	for _, b := range all {
		out.Batches = append(out.Batches, BatchListed{Name: b.Name, Colour: b.Colour, State: b.State, Opened: Time(b.Opened), By: b.By, day: day(b.Opened)})
	}
	return out
}

// WriteText prints a line a batch.
func (l Batches) WriteText(w io.Writer) error {
	var lines [][]string
	for _, b := range l.Batches {
		lines = append(lines, []string{b.Name, b.Colour, b.State, b.day, b.By})
	}
	return table(w, "batch|colour|state|opened|by", lines)
}
