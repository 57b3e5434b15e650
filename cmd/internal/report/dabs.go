package report

import (
	"fmt"
	"io"
	"slices"

	"evenhide/colour/tolerance"
)

// Dabs is what one photo of dabs tells of the bottles that they are from.
type Dabs struct {
	Version     int           `json:"version"`
	File        string        `json:"file"`
	Taken       string        `json:"taken"` // RFC 3339, or "" when the photo does not say
	Camera      string        `json:"camera"`
	Card        *Card         `json:"card"`
	Calibration *Calibration  `json:"calibration"`
	Reference   ReferenceDabs `json:"reference"`
	Dabs        []Dab         `json:"dabs"`
}

// ReferenceDabs is what bottles are held against: the mean of the dab in the card's
// window and of those on the sheet that count.
type ReferenceDabs struct {
	Lab  [3]float64     `json:"lab"`  // as read; D65, 2°
	Dabs []ReferenceDab `json:"dabs"` // on the sheet
}

// ReferenceDab is a dab of the reference on the sheet, against the one in the window.
type ReferenceDab struct {
	Name     string     `json:"name"` // its number in reading order
	Box      [4]int     `json:"box"`  // X, Y, W, H of what was measured, in pixels of the upright photo
	Lab      [3]float64 `json:"lab"`  // as read; D65, 2°
	DE00     float64    `json:"de00"`
	Interval [2]float64 `json:"interval"` // 95 %
	Measured bool       `json:"measured"`
	Counted  bool       `json:"counted"`
	Reason   string     `json:"reason,omitempty"` // why not
	Hint     string     `json:"hint,omitempty"`
}

// counted returns how many dabs the reference is the mean of.
func (r ReferenceDabs) counted() int {
	n := 1
	for _, d := range r.Dabs {
		if d.Counted {
			n++
		}
	}
	return n
}

// unmeasured tells whether a dab of the reference could not be measured.
func (r ReferenceDabs) unmeasured() bool {
	return slices.ContainsFunc(r.Dabs, func(d ReferenceDab) bool { return !d.Measured })
}

// Unmeasured tells whether one of the dabs, of a bottle or of the reference, could not be
// measured.
func (d Dabs) Unmeasured() bool {
	return d.Reference.unmeasured() || slices.ContainsFunc(d.Dabs, func(b Dab) bool { return b.Verdict == tolerance.Retake })
}

// Dab is one bottle, by its dab or by several together. What could not be measured
// has a verdict of retake and no figures.
type Dab struct {
	Name string `json:"name"`
	// Boxes are X, Y, W, H of what was measured of each dab, in pixels of the upright
	// photo.
	Boxes [][4]int `json:"boxes"`
	Strength
	Verdict tolerance.Verdict `json:"verdict"`
	Water
	WaterBy string   `json:"water_by,omitempty"` // a ladder, or why not; "" is proportion
	InHand  *InHand  `json:"in_hand,omitempty"`
	Reasons []string `json:"reasons"`
	Hint    string   `json:"hint,omitempty"`
	// Kept is the number of the check that the shade book keeps; KeptBefore says that
	// it did so already.
	Kept       int64 `json:"kept,omitempty"`
	KeptBefore bool  `json:"kept_before,omitempty"`
}

// Strength is how strong a dab is, and its colour.
type Strength struct {
	Lab [3]float64 `json:"lab"` // as read; D65, 2°
	Depth
	ShadeU float64 `json:"shade_u"` // expanded, k = 2
}

// Water is what brings 100 ml of a bottle to the reference's strength, least and
// most; 0 for what is not to be thinned.
type Water struct {
	ML     [2]float64 `json:"water_ml_per_100ml"`
	Likely float64    `json:"water_ml_per_100ml_likely"`
}

// InHand is the water for what is left in the bottle.
type InHand struct {
	ML     float64    `json:"ml"`
	Water  [2]float64 `json:"water_ml"`
	Likely float64    `json:"water_ml_likely"`
}

// For returns the water for so many millilitres of the bottle.
func (w Water) For(ml float64) *InHand {
	return &InHand{ml, [2]float64{w.ML[0] * ml / 100, w.ML[1] * ml / 100}, w.Likely * ml / 100}
}

func (w Water) String() string {
	return fmt.Sprintf("add %.0f ml of water to each 100 ml (%.0f to %.0f)", w.Likely, w.ML[0], w.ML[1])
}

func (h InHand) String() string {
	return fmt.Sprintf("to the %.6g ml in hand %.0f ml (%.0f to %.0f)", h.ML, h.Likely, h.Water[0], h.Water[1])
}

// cautions go with every advice to mix.
const cautions = `  Stir, lay a dab and check again. Do not pour thinned dye back: label it and close it.
  Gloves on, windows open, read the maker's safety sheet; keep dye off what food touches.`

// WriteText prints d for a maker: a line a bottle, and under it why and what to do.
func (d Dabs) WriteText(w io.Writer) error {
	out := newSheet(w)
	against := "the reference dab"
	if n := d.Reference.counted(); n > 1 {
		against = fmt.Sprintf("the mean of %d reference dabs", n)
	}
	fmt.Fprintf(out, "%s: against %s in the photo\n", d.File, against)
	var lines [][]string
	for _, b := range d.Dabs {
		lines = append(lines, append([]string{b.Name, string(b.Verdict)}, b.Strength.cells(b.Verdict)...))
	}
	table(out, strengthHeadings("dab|verdict"), lines)
	var hints []string
	for _, r := range d.Reference.Dabs {
		if !r.Counted {
			say(out, "  reference, dab %s: left out: %s", r.Name, r.Reason)
			if !slices.Contains(hints, r.Hint) {
				hints = append(hints, r.Hint)
			}
		}
	}
	thin := false
	for _, b := range d.Dabs {
		if b.Verdict == tolerance.Use {
			continue
		}
		for _, r := range b.Reasons {
			say(out, "  %s: %s", oneLine(b.Name), r)
		}
		if b.Verdict == tolerance.Thin {
			thin = true
			say(out, "  %s: %s", oneLine(b.Name), b.Water)
			if b.WaterBy != "" {
				say(out, "  %s: that is by %s", oneLine(b.Name), b.WaterBy)
			}
			if b.InHand != nil {
				say(out, "  %s: %s", oneLine(b.Name), b.InHand)
			}
		}
		if b.Hint != "" && !slices.Contains(hints, b.Hint) {
			hints = append(hints, b.Hint)
		}
	}
	for _, h := range hints {
		writeHint(out, "  ", h)
	}
	for _, warning := range d.Calibration.Warnings {
		say(out, "  note: %s", warning)
	}
	if thin {
		fmt.Fprintln(out, cautions)
	}
	for _, b := range d.Dabs {
		writeKept(out, b.Kept, b.KeptBefore, b.Name)
	}
	return out.Flush()
}

func strengthHeadings(before string) string {
	return before + "|strength|shade left|at equal strength it is"
}

// cells returns the figures of a line; of what was not judged, none that could be
// taken for true.
func (s Strength) cells(v tolerance.Verdict) []string {
	if v == tolerance.Retake {
		return []string{"–", "–", "not judged"}
	}
	return []string{fmt.Sprintf("%.0f %% (%.0f to %.0f)", 100*s.Strength, 100*s.Interval[0], 100*s.Interval[1]),
		fmt.Sprintf("%.1f (%.1f to %.1f)", s.ShadeDE00, s.ShadeInterval[0], s.ShadeInterval[1]), s.Words}
}
