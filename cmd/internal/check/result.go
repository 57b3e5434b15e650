package check

import (
	"errors"
	"fmt"

	"evenhide/calibrate"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

var errLeftOut = errors.New("too much left out")

// tooMuchLeftOut refuses a reading that glare and clipping have made a guess.
func tooMuchLeftOut(r surface.Reading) error {
	const most = 25 // percent
	if r.GlarePercent+r.ClippedPercent > most {
		return fmt.Errorf("%w: %.0f %% glare and %.0f %% clipped, at most %d %% together",
			errLeftOut, r.GlarePercent, r.ClippedPercent, most)
	}
	return nil
}

// retakeHint says what to do about a region that could not be measured.
func retakeHint(err error) string {
	switch {
	case errors.Is(err, surface.ErrTooSmall):
		return "give a larger place, or take the photo closer or at full size"
	case errors.Is(err, errLeftOut), errors.Is(err, surface.ErrNothingLeft):
		return "take the photo again with matt light from the side and less exposure"
	}
	return ""
}

func calibration(c *calibrate.Calibration, f *colour.Field) *report.Calibration {
	out := &report.Calibration{Method: c.Method, Warnings: append([]string{}, c.Warnings...)}
	if len(c.Steps) > 1 {
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

func measures(r surface.Reading, d tolerance.Difference, words colour.Words) *report.Measures {
	return &report.Measures{
		Lab: report.Triple(r.Lab), DE00: d.DE, DL: d.DL, DC: d.DC, DH: d.DH,
		U: d.U, Interval: d.Interval, Words: words.String(),
		Blotch: report.Blotch{
			RMS: r.Blotch.RMS, P95: r.Blotch.P95, MottleL: r.MottleL, GraininessL: r.GraininessL,
			LuminanceCV: r.LuminanceCV, SlopeL: r.SlopeL,
			StreakCoherence: r.StreakCoherence, StreakDeg: r.StreakDeg, Streaky: r.Streaky, Tile: r.Tile,
		},
	}
}
