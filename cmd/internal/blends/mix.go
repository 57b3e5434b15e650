package blends

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/dye"
	"evenhide/colour/tolerance"
)

// Propose returns the blends that come closest to the target.
func (b *Bench) Propose() report.Blends {
	out := report.Blends{Version: report.Version, Target: b.Told, Blends: []report.Blend{}, Warnings: b.Warnings}
	found, nearest := b.Palette.Propose(b.Target.Lab, b.Weights)
	for _, p := range found {
		blend := report.Blend{Expected: b.expected(p.Prediction, p.Words)}
		for _, part := range p.Parts {
			blend.Parts = append(blend.Parts, shadebook.Part{Dye: part.Name, Parts: float64(part.N)})
		}
		if p.Water > 0 {
			blend.Parts = append(blend.Parts, shadebook.Part{Dye: report.WaterName, Parts: float64(p.Water)})
		}
		out.Blends = append(out.Blends, blend)
	}
	out.Nearest = b.expected(nearest.Prediction, nearest.Words)
	out.OutOfReach = nearest.DE > b.Limit/2
	out.PerhapsIn = out.OutOfReach && out.Nearest.Interval[0] <= b.Limit/2
	return out
}

// expected returns a prediction as it is told.
func (b *Bench) expected(p dye.Prediction, words colour.Words) report.Expected {
	d := tolerance.Between(b.Target, tolerance.Estimate{Lab: p.Lab, Cov: p.Cov}, b.Weights, b.Model)
	return report.Expected{Lab: report.Triple(p.Lab), DE00: d.DE, Interval: d.Interval, Words: words.String()}
}

// Correct returns what to add to so many ml of a mix; photo shows a dab of it, and is
// "" where there is none.
func (b *Bench) Correct(mix []shadebook.Part, ml float64, photo string, rq check.Request) (report.Correction, error) {
	out := report.Correction{Version: report.Version, Mix: mix, ML: ml, Add: []report.Pour{}}
	in := dye.InHand{Parts: make([]float64, len(b.Names)), ML: ml}
	for _, p := range mix {
		switch i := slices.Index(b.Names, p.Dye); {
		case IsWater(p.Dye):
			in.Water = p.Parts
		case i < 0:
			return out, refusal.New(nil, "name it in --dyes as well", "--mix has %q, which is none of the dyes: %s", p.Dye, strings.Join(b.Names, ", "))
		default:
			in.Parts[i] = p.Parts
		}
	}
	if photo != "" {
		seen, err := check.ReadDyes(photo, rq, 1)
		if errors.Is(err, check.ErrDabs) {
			err = refusal.New(err, "lay one dab of the blend alone on the sheet, and give the photo with those of its dyes with --dab", "%s: more than the one dab of the blend lies on the sheet", photo)
		}
		if err != nil {
			return out, err
		}
		in.Seen = &dye.View{Hide: reading(seen.Hide), Dabs: []dye.Dab{{Reading: reading(seen.Dabs[0])}}}
		b.sources = append(b.sources, source{photo, rq.Light, seen.Camera, seen.Card})
		b.Model = b.model(rq.SameLight)
		if s := seen.Swatch; s != nil { // beside the dab it tells most of what is missing
			apart := colour.DeltaE2000(b.Target.Lab, s.Lab, colour.UnitWeights())
			in.Seen.Same = b.Told.Source == report.InFrame && apart <= check.OtherColour
			if apart > check.OtherColour {
				b.Warnings = append(b.Warnings, fmt.Sprintf("%s: the swatch beside the dab differs by ΔE00 %.0f from the target: is it of another colour?", photo, apart))
			}
			swatch := reading(*s)
			in.Seen.Target, b.Model = &swatch, tolerance.InFrame()
			b.Told.Source, b.Told.Lab = report.InFrame, report.Triple(s.Lab)
		}
		b.Warnings = append(b.Warnings, seen.Warnings...)
	}
	c, err := b.Palette.Correct(in, b.Target.Lab, b.Weights)
	if err != nil {
		if errors.Is(err, dye.ErrTogether) {
			err = fmt.Errorf("%s: %w: that of the blend with those of its dyes", photo, err)
		}
		return out, Advise(err)
	}
	if in.Seen != nil && in.Seen.Target != nil {
		b.Target = tolerance.Estimate{Lab: c.Target}
	}
	for i, v := range c.Add {
		if v > 0 {
			out.Add = append(out.Add, report.NewPour(b.Names[i], v))
		}
	}
	if c.Water > 0 {
		out.Add = append(out.Add, report.NewPour(report.WaterName, c.Water))
	}
	out.ThenML = ml
	for _, p := range out.Add {
		out.ThenML += p.ML
	}
	out.Now = b.expected(c.Now, colour.InWords(b.Target.Lab, c.Now.Lab, b.Weights))
	out.Then = b.expected(c.Then, c.Words)
	out.OutOfReach = c.DE > b.Limit/2
	out.PerhapsIn = out.OutOfReach && out.Then.Interval[0] <= b.Limit/2
	slices.Sort(b.Warnings)
	out.Target = b.Told
	out.Warnings = slices.Compact(b.Warnings)
	return out, nil
}

// IsWater tells whether a part of a blend is water.
func IsWater(name string) bool { return strings.EqualFold(name, report.WaterName) }

// Dyes returns the dyes of a mix.
func Dyes(mix []shadebook.Part) (out []string) {
	for _, p := range mix {
		if !IsWater(p.Dye) {
			out = append(out, p.Dye)
		}
	}
	return out
}

// Keepable returns a proposal as the book keeps it.
func Keepable(r report.Blends, n int) (shadebook.Recipe, error) {
	if len(r.Blends) == 0 {
		return shadebook.Recipe{}, refusal.New(nil, "name other dyes with --dyes", "--keep %d: there is no proposal to keep", n)
	}
	if n < 1 || n > len(r.Blends) {
		return shadebook.Recipe{}, refusal.New(nil, "see the proposals without --keep first", "--keep %d: wanted a proposal from 1 to %d", n, len(r.Blends))
	}
	p := r.Blends[n-1]
	return shadebook.Recipe{Colour: r.Target.Colour, Parts: p.Parts, DE00: p.DE00, Interval: p.Interval,
		Note: fmt.Sprintf("proposal %d of %d", n, len(r.Blends))}, nil
}
