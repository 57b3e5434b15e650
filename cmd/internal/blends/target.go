package blends

import (
	"context"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/dye"
	"evenhide/colour/tolerance"
)

// recallTarget returns the kept swatch of the target, nil for a target that is given or
// lies beside the dabs. In the light and with the camera of the dabs it was seen as they
// were, and so it joins them.
func (out *Bench) recallTarget(ctx context.Context, b *shadebook.Book, rq Request, views []dye.View) (*shadebook.Swatch, error) {
	if rq.Lab != nil || rq.Colour == "" || views[0].Target != nil {
		return nil, nil
	}
	s, err := b.CurrentSwatch(ctx, rq.Colour)
	if err != nil {
		return nil, err
	}
	file := ""
	if len(s.Photos) > 0 {
		file = s.Photos[0].File
	}
	out.sources = append(out.sources, source{file, s.Light, s.Camera, s.Card})
	if _, alike := out.alike(rq.SameLight); alike {
		views[0].Target = &dye.Reading{Lab: s.Lab, Cov: s.Cov, Lit: 1}
	}
	return &s, nil
}

// aim sets the target: the swatch in the photo of the dabs goes first, then the kept one.
func (out *Bench) aim(ctx context.Context, b *shadebook.Book, rq Request, inFrame *tolerance.Estimate, kept *shadebook.Swatch) error {
	out.Told = report.BlendTarget{Colour: rq.Colour}
	if rq.Colour != "" {
		c, err := b.ColourNamed(ctx, rq.Colour)
		if err != nil {
			return err
		}
		out.Told.Colour, out.Limit, out.Weights = c.Name, c.Tolerance, colour.Weights{KL: c.KL, KC: 1, KH: 1}
	}
	seen, beside := out.Palette.Target()
	out.Target.Lab = seen
	switch {
	case rq.Lab != nil:
		out.Target.Lab, out.Told.Source, out.Told.Lab = *rq.Lab, report.Given, report.Triple(*rq.Lab)
		out.sources = append(out.sources, source{photo: "numbers"})
	case inFrame != nil:
		out.Told.Source, out.Told.Lab = report.InFrame, report.Triple(inFrame.Lab)
		if err := out.doubt(ctx, b, rq.Colour, inFrame.Lab); err != nil {
			return err
		}
	case kept != nil:
		out.Told.Source, out.Told.Lab = report.Kept, report.Triple(kept.Lab)
		if !beside {
			out.Target = tolerance.Estimate{Lab: dye.Reading{Lab: kept.Lab, Lit: 1}.Clear(), Cov: kept.Cov}
		}
	default:
		return refusal.New(nil, "give --target COLOUR or --target-lab L,a,b, or lay the swatch in the card's window beside the dabs", "no target: no colour is named, and no swatch lies beside the dabs")
	}
	out.Model = out.model(rq.SameLight)
	return nil
}

// doubt warns where the swatch in the photo is not the one kept of the target.
func (out *Bench) doubt(ctx context.Context, b *shadebook.Book, target string, seen colour.Lab) error {
	if target == "" {
		return nil
	}
	kept, err := b.Swatches(ctx, target)
	if err != nil || len(kept) == 0 {
		return err
	}
	if text := check.Doubt(target, kept[0].Lab, seen); text != "" {
		out.Warnings = append(out.Warnings, text)
	}
	return nil
}

// alike tells whether all was read from one photo, and whether it was in one light by one
// camera with one card, as same says or as is known.
func (out *Bench) alike(same bool) (one, alike bool) {
	first := out.sources[0]
	one, alike = true, first.light != "" && first.camera != ""
	for _, s := range out.sources {
		one = one && s == first
		alike = alike && s.light == first.light && s.camera == first.camera && s.card == first.card
	}
	return one, one || same || alike
}

// model returns how far readings of these sources can be compared.
func (out *Bench) model(same bool) tolerance.Model {
	switch one, alike := out.alike(same); {
	case one:
		return tolerance.InFrame()
	case alike:
		return tolerance.SameLight()
	}
	out.Warnings = append(out.Warnings, "dabs and target were read from several photos that may be in several lights, and the range allows for it: for a narrow one lay all dabs and the swatch in one photo, or give --same-light where light and camera are the same")
	return tolerance.OtherLight()
}
