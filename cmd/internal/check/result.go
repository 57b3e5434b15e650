package check

import (
	"errors"
	"fmt"
	"image"
	"math"

	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

var (
	errGlare   = errors.New("too much glare")
	errClipped = errors.New("over-exposed")
)

// tooMuchLeftOut refuses a reading that glare and clipping have made a guess.
func tooMuchLeftOut(r surface.Reading) error {
	const most = 25 // percent
	switch {
	case r.Veiled:
		return fmt.Errorf("%w: a shine lies over most of it", errGlare)
	case r.GlarePercent+r.ClippedPercent <= most:
		return nil
	case r.ClippedPercent > r.GlarePercent:
		return fmt.Errorf("%w: %.0f %% of it is at the top of the camera's range, at most %d %% may be", errClipped, r.ClippedPercent, most)
	}
	return fmt.Errorf("%w: %.0f %% of it shines, at most %d %% may", errGlare, r.GlarePercent, most)
}

// retakeHint says what to do about a region that could not be measured.
func retakeHint(err error) string {
	switch {
	case errors.Is(err, surface.ErrTooSmall):
		return "give a larger place, or take the photo closer or at full size"
	case errors.Is(err, errClipped):
		return "take the photo again with less exposure"
	case errors.Is(err, errGlare):
		return "take the photo again without flash, with matt light from the side"
	case errors.Is(err, surface.ErrNothingLeft):
		return "take the photo again with matt light from the side and less exposure"
	}
	return ""
}

func (b *bench) calibration() *report.Calibration {
	c, f := b.cal, b.field
	out := &report.Calibration{Method: c.Method, Warnings: append(append([]string{}, c.Warnings...), b.notes...)}
	if !math.IsNaN(c.LeftOut) {
		out.LeftOutL = c.LeftOut
	}
	for _, s := range c.Steps {
		out.Steps = append(out.Steps, report.Step{
			L: s.L, Linear: [3]float64{s.Mean.R, s.Mean.G, s.Mean.B}, ResidualL: s.Residual, Used: s.Used})
	}
	sum := 0
	for _, share := range f.Clipped {
		sum += int(share)
	}
	out.ClippedPercent = 100 * float64(sum) / 255 / float64(len(f.Clipped))
	return out
}

func (b *bench) cardFound() *report.Card {
	if b.found == nil {
		return nil
	}
	out := &report.Card{Serial: b.found.Serial, Codes: b.found.Codes, ResidualPx: b.found.ResidualPx, EdgeMM: b.found.EdgeMM, Measured: b.measured}
	for i, p := range b.found.Outline() {
		out.Outline[i] = [2]float64{p.X, p.Y}
	}
	return out
}

func (b *bench) sheetFound() *report.Sheet {
	if b.sheet == nil {
		return nil
	}
	return &report.Sheet{UnevenPercent: 100 * b.sheet.Light.Uneven(), SharePercent: 100 * b.sheet.Share}
}

// pixels returns a rectangle of cells as X, Y, W, H in pixels.
func (b *bench) pixels(r image.Rectangle) [4]int {
	k := b.field.Cell
	return [4]int{k * r.Min.X, k * r.Min.Y, k * r.Dx(), k * r.Dy()}
}

// outlinePixels returns an outline of cells in pixels.
func (b *bench) outlinePixels(outline []surface.Corner) [][2]int {
	k := float64(b.field.Cell)
	out := make([][2]int, len(outline))
	for i, c := range outline {
		out[i] = [2]int{int(math.Round(k * c.X)), int(math.Round(k * c.Y))}
	}
	return out
}

func measures(r surface.Reading, d tolerance.Difference, depth *tolerance.Depth, words colour.Words) *report.Measures {
	out := &report.Measures{
		Lab: report.Triple(r.Lab), DE00: d.DE, DL: d.DL, DC: d.DC, DH: d.DH,
		U: d.U, Interval: d.Interval, Words: words.String(),
		Blotch: report.Blotch{
			RMS: r.Blotch.RMS, P95: r.Blotch.P95, MottleL: r.MottleL, GraininessL: r.GraininessL,
			LuminanceCV: r.LuminanceCV, SlopeL: r.SlopeL,
			StreakCoherence: r.StreakCoherence, StreakDeg: r.StreakDeg, Streaky: r.Streaky, Tile: r.Tile,
		},
	}
	if depth != nil {
		told := depthOf(depth)
		out.Depth = &told
	}
	return out
}

func depthOf(d *tolerance.Depth) report.Depth {
	return report.Depth{Strength: d.Strength, Interval: d.Interval, ShadeDE00: d.Shade.DE, ShadeInterval: d.Shade.Interval, Words: d.Words}
}
