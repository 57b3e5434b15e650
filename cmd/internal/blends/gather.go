// Package blends finds out what dyes there are and what colour is wanted, from
// photos, from the shade book and from what was typed, and mixes the one to the
// other.
package blends

import (
	"context"
	"reflect"
	"slices"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/dye"
	"evenhide/colour/tolerance"
)

// Request says which dyes there are and what they are to make.
type Request struct {
	check.Request          // how photos are read
	Laid          []Laid   // photos of dabs
	Dyes          []string // to mix; none: all that have dabs in photos
	Colour        string   // the target, of the shade book
	Lab           *colour.Lab
}

// Laid is a photo of dabs.
type Laid struct {
	Photo string
	Of    []Dab // in reading order
}

// Dab is the dye of a dab and how much of what it was laid from is dye.
type Dab struct {
	Dye  string
	Part float64
}

// NeedsBook tells whether the shade book has to be asked.
func (rq Request) NeedsBook() bool {
	return rq.Colour != "" || slices.ContainsFunc(rq.Dyes, func(name string) bool { return !rq.inPhotos(name) })
}

func (rq Request) inPhotos(name string) bool {
	return slices.ContainsFunc(rq.Laid, func(l Laid) bool {
		return slices.ContainsFunc(l.Of, func(d Dab) bool { return d.Dye == name })
	})
}

// oneSpelling refuses a dye that is written in two ways: it would be two dyes.
func (rq Request) oneSpelling() error {
	names := slices.Clone(rq.Dyes)
	for _, l := range rq.Laid {
		for _, d := range l.Of {
			names = append(names, d.Dye)
		}
	}
	return shadebook.OneSpelling(names)
}

// Bench is dyes ready to be mixed, and the target.
type Bench struct {
	*dye.Palette
	Names    []string           // of the dyes, in the palette's order
	Target   tolerance.Estimate // to the eye; what is not known of a swatch beside the dabs is in the predictions
	Told     report.BlendTarget
	Limit    float64 // tolerance of the target
	Weights  colour.Weights
	Model    tolerance.Model // of readings against each other
	Warnings []string
	sources  []source
}

// source is where and in which light something was read.
type source struct{ photo, light, camera, card string }

// Gather reads the photos and asks the book b, which may be nil where it is not
// needed.
func Gather(ctx context.Context, b *shadebook.Book, rq Request) (*Bench, error) {
	if err := rq.oneSpelling(); err != nil {
		return nil, err
	}
	out := &Bench{Limit: shadebook.DefaultSettings().Tolerance, Weights: colour.UnitWeights()}
	if out.Names = rq.Dyes; len(rq.Dyes) == 0 {
		for _, l := range rq.Laid {
			for _, d := range l.Of {
				if !slices.Contains(out.Names, d.Dye) {
					out.Names = append(out.Names, d.Dye)
				}
			}
		}
	}
	var views []dye.View
	var inFrame *tolerance.Estimate
	for _, l := range rq.Laid {
		seen, err := check.ReadDyes(l.Photo, rq.Request, len(l.Of))
		if err != nil {
			return nil, err
		}
		v := dye.View{Hide: reading(seen.Hide)}
		for i, d := range l.Of {
			if bottle := slices.Index(out.Names, d.Dye); bottle >= 0 {
				v.Dabs = append(v.Dabs, dye.Dab{Bottle: bottle, Part: d.Part, Reading: reading(seen.Dabs[i])})
			}
		}
		if len(rq.Laid) == 1 && seen.Swatch != nil && rq.Lab == nil {
			inFrame = seen.Swatch
			swatch := reading(*seen.Swatch)
			v.Target = &swatch
		}
		views = append(views, v)
		out.sources = append(out.sources, source{l.Photo, rq.Light, seen.Camera, seen.Card})
		out.Warnings = append(out.Warnings, seen.Warnings...)
	}
	for k, name := range out.Names {
		if rq.inPhotos(name) {
			continue
		}
		kept, err := Kept(ctx, b, name)
		if err != nil {
			return nil, err
		}
		v := dye.View{Hide: dye.Reading{Lab: lab(kept.HideLab), Cov: kept.HideCov, Shared: shared(kept.HideShared), Lit: 1}}
		from := source{kept.File, kept.Light, kept.Camera, kept.Card}
		at := len(views)
		for i := len(rq.Laid); i < at && v.Hide.Shared != nil; i++ { // kept from one photo
			if out.sources[i] == from && reflect.DeepEqual(views[i].Hide, v.Hide) {
				at = i
			}
		}
		if at == len(views) {
			views, out.sources = append(views, v), append(out.sources, from)
		}
		for _, d := range kept.Dabs {
			views[at].Dabs = append(views[at].Dabs, dye.Dab{Bottle: k, Part: d.Part, Reading: dye.Reading{Lab: lab(d.Lab), Cov: d.Cov, Shared: shared(d.Shared), Lit: 1}})
		}
	}
	var err error
	if out.Palette, err = dye.NewPalette(out.Names, views); err != nil {
		return nil, Advise(out.where(err, rq, views))
	}
	return out, out.aim(ctx, b, rq, inFrame)
}

// aim sets the target: the swatch in the photo of the dabs goes first.
func (out *Bench) aim(ctx context.Context, b *shadebook.Book, rq Request, inFrame *tolerance.Estimate) error {
	out.Told = report.BlendTarget{Colour: rq.Colour}
	if rq.Colour != "" {
		c, err := b.ColourNamed(ctx, rq.Colour)
		if err != nil {
			return err
		}
		out.Told.Colour, out.Limit, out.Weights = c.Name, c.Tolerance, colour.Weights{KL: c.KL, KC: 1, KH: 1}
	}
	switch {
	case rq.Lab != nil:
		out.Target.Lab, out.Told.Source, out.Told.Lab = *rq.Lab, report.Given, report.Triple(*rq.Lab)
		out.sources = append(out.sources, source{photo: "numbers"})
	case inFrame != nil:
		out.Told.Source, out.Told.Lab = report.InFrame, report.Triple(inFrame.Lab)
		out.Target.Lab, _ = out.Palette.Target()
		if err := out.doubt(ctx, b, rq.Colour, inFrame.Lab); err != nil {
			return err
		}
	case rq.Colour == "":
		return refusal.New(nil, "give --target COLOUR or --target-lab L,a,b, or lay the swatch in the card's window beside the dabs", "no target: no colour is named, and no swatch lies beside the dabs")
	default:
		s, err := b.CurrentSwatch(ctx, rq.Colour)
		if err != nil {
			return err
		}
		out.Target, out.Told.Source = tolerance.Estimate{Lab: dye.Reading{Lab: s.Lab, Lit: 1}.Clear(), Cov: s.Cov}, report.Kept
		out.Told.Lab = report.Triple(s.Lab)
		file := ""
		if len(s.Photos) > 0 {
			file = s.Photos[0].File
		}
		out.sources = append(out.sources, source{file, s.Light, s.Camera, s.Card})
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

// model returns how far readings of these sources can be compared.
func (out *Bench) model(same bool) tolerance.Model {
	first := out.sources[0]
	one, alike := true, first.light != "" && first.camera != ""
	for _, s := range out.sources {
		one = one && s == first
		alike = alike && s.light == first.light && s.camera == first.camera && s.card == first.card
	}
	switch {
	case one:
		return tolerance.InFrame()
	case same || alike:
		return tolerance.SameLight()
	}
	out.Warnings = append(out.Warnings, "dabs and target were read from several photos that may be in several lights, and the range allows for it: for a narrow one lay all dabs and the swatch in one photo, or give --same-light where light and camera are the same")
	return tolerance.OtherLight()
}

func lab(v [3]float64) colour.Lab { return colour.Lab{L: v[0], A: v[1], B: v[2]} }

func reading(e tolerance.Estimate) dye.Reading {
	return dye.Reading{Lab: e.Lab, Cov: e.Cov, Shared: e.Shared, Lit: e.Lit}
}
