// Package blends finds out what dyes there are and what colour is wanted, from
// photos, from the shade book and from what was typed, and mixes the one to the
// other.
package blends

import (
	"cmp"
	"context"
	"fmt"
	"reflect"
	"slices"

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

// NeedsBook tells whether the shade book has to be asked.
func (rq Request) NeedsBook() bool {
	return rq.Colour != "" || slices.ContainsFunc(rq.Dyes, func(name string) bool { return !rq.inPhotos(name) })
}

func (rq Request) inPhotos(name string) bool {
	return slices.ContainsFunc(rq.Laid, func(l Laid) bool {
		return slices.ContainsFunc(l.Of, func(d Dab) bool { return d.has(name) })
	})
}

// DyesOf returns the dyes of dabs, each once, in their order.
func DyesOf(dabs []Dab) []string { return Request{Laid: []Laid{{Of: dabs}}}.laid() }

// oneSpelling refuses a dye that is written in two ways: it would be two dyes.
func (rq Request) oneSpelling() error {
	return shadebook.OneSpelling(append(slices.Clone(rq.Dyes), rq.laid()...))
}

// laid returns the dyes of the dabs in photos, each once, in their order.
func (rq Request) laid() (names []string) {
	for _, l := range rq.Laid {
		for _, d := range l.Of {
			for _, p := range d.Of {
				if !slices.Contains(names, p.Dye) {
					names = append(names, p.Dye)
				}
			}
		}
	}
	return names
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
		out.Names = rq.laid()
	}
	views, inFrame, err := out.read(rq)
	if err == nil {
		views, err = out.recall(ctx, b, rq, views)
	}
	var kept *shadebook.Swatch
	if err == nil {
		kept, err = out.recallTarget(ctx, b, rq, views)
	}
	if err != nil {
		return nil, err
	}
	if out.Palette, err = dye.NewPalette(out.Names, views); err != nil {
		return nil, Advise(out.where(err, rq, views))
	}
	for _, i := range out.Palette.Misnamed {
		out.Warnings = append(out.Warnings, fmt.Sprintf("%s: its mixes look to be mixed otherwise than they are named: see that their parts and the order of the dabs are right", out.sources[i].photo))
	}
	return out, out.aim(ctx, b, rq, inFrame, kept)
}

// read reads the photos, and the swatch of the target where all dabs lie beside it.
func (out *Bench) read(rq Request) (views []dye.View, inFrame *tolerance.Estimate, err error) {
	for _, l := range rq.Laid {
		seen, err := check.ReadDyes(l.Photo, rq.Request, len(l.Of))
		if err != nil {
			return nil, nil, err
		}
		v := dye.View{Hide: reading(seen.Hide), Dabs: dabsOf(seen, l.Of, out.Names)}
		if len(rq.Laid) == 1 && seen.Swatch != nil && rq.Lab == nil {
			inFrame = seen.Swatch
			swatch := reading(*seen.Swatch)
			v.Target = &swatch
		}
		views = append(views, v)
		out.sources = append(out.sources, source{l.Photo, rq.Light, seen.Camera, seen.Card})
		out.Warnings = append(out.Warnings, seen.Warnings...)
	}
	return views, inFrame, nil
}

// dabsOf returns those of a photo's dabs in which nothing is but the named dyes.
func dabsOf(seen check.Dyes, dabs []Dab, names []string) (out []dye.Dab) {
	for i, d := range dabs {
		if amounts, of := d.amounts(names); of {
			out = append(out, dye.Dab{Amounts: amounts, Reading: reading(seen.Dabs[i])})
		}
	}
	return out
}

// recall adds what the book has of the dyes that lie in no photo: a view for each photo
// that their dabs were kept from.
func (out *Bench) recall(ctx context.Context, b *shadebook.Book, rq Request, views []dye.View) ([]dye.View, error) {
	of := map[int][]string{} // the dyes whose dabs a view has, by its number
	mixes := map[int][]report.DyeDab{}
	for k, name := range out.Names {
		if rq.inPhotos(name) {
			continue
		}
		kept, err := Kept(ctx, b, name)
		if err != nil {
			return nil, err
		}
		v := dye.View{Hide: dye.Reading{Lab: lab(kept.HideLab), Cov: kept.HideCov, Shared: shared(kept.HideShared), Lit: cmp.Or(kept.HideLit, 1)}}
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
		of[at] = append(of[at], name)
		for _, d := range kept.Dabs {
			switch {
			case len(d.Of) == 0:
				views[at].Dabs = append(views[at].Dabs, dye.Dab{Amounts: dye.Pure(k, d.Part), Reading: keptReading(d)})
			case d.Of[0].Dye == name: // it is kept with each dye that is in it
				mixes[at] = append(mixes[at], d)
			}
		}
	}
	for at, names := range of { // a mix tells of dyes as they were beside it
		for _, d := range mixes[at] {
			mix := Dab{d.Of, d.Part}
			if _, all := mix.amounts(names); all {
				amounts, _ := mix.amounts(out.Names)
				views[at].Dabs = append(views[at].Dabs, dye.Dab{Amounts: amounts, Reading: keptReading(d)})
			}
		}
	}
	return views, nil
}

func keptReading(d report.DyeDab) dye.Reading {
	return dye.Reading{Lab: lab(d.Lab), Cov: d.Cov, Shared: shared(d.Shared), Lit: cmp.Or(d.Lit, 1)}
}

func lab(v [3]float64) colour.Lab { return colour.Lab{L: v[0], A: v[1], B: v[2]} }

func reading(e tolerance.Estimate) dye.Reading {
	return dye.Reading{Lab: e.Lab, Cov: e.Cov, Shared: e.Shared, Lit: e.Lit}
}
