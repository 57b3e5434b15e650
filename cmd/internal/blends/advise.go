package blends

import (
	"errors"
	"fmt"
	"slices"

	"evenhide/calibrate/refusal"
	"evenhide/colour/dye"
)

// where names the photo of dabs that do not go together, and the one that fits worst.
func (out *Bench) where(err error, rq Request, views []dye.View) error {
	var m *dye.Misfit
	if !errors.As(err, &m) {
		return err
	}
	err = fmt.Errorf("%s: %w", out.sources[m.View].photo, err)
	if m.Dab < 0 {
		return err
	}
	d, number := views[m.View].Dabs[m.Dab], m.Dab+1
	if m.View < len(rq.Laid) { // where dabs of dyes that are not to be mixed lie as well
		left := number
		for i, laid := range rq.Laid[m.View].Of {
			if slices.Contains(out.Names, laid.Dye) {
				left--
			}
			if left == 0 {
				number = i + 1
				break
			}
		}
	}
	return fmt.Errorf("%w: number %d (%s:%g) fits worst", err, number, out.Names[d.Bottle], d.Part)
}

// Advise returns an error of a palette with what to do about it.
func Advise(err error) error {
	hint := ""
	switch {
	case err == nil:
		return nil
	case errors.Is(err, dye.ErrSameDye):
		hint = "name each dye once; two that give one colour are one dye"
	case errors.Is(err, dye.ErrReference):
		hint = "lay the dab again from the shaken bottle: it shows no dye"
	case errors.Is(err, dye.ErrTogether):
		hint = "name the dabs in reading order, each with its part of dye, and lay all of them on one kind of hide"
	case errors.Is(err, dye.ErrReflectance):
		hint = "check that the dab and the bare hide lie where they should, and take the photo again in even, matt light"
	case errors.Is(err, dye.ErrParts):
		hint = "name one dye or more, up to 24, and give each of them parts above 0"
	}
	return refusal.New(err, hint, "%v", err)
}
