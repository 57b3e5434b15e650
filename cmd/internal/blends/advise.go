package blends

import (
	"errors"
	"fmt"
	"strings"

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
	which := laidFrom(views[m.View].Dabs[m.Dab].Amounts, out.Names).String()
	if m.View < len(rq.Laid) { // of a kept photo nobody knows what else lies there
		which = fmt.Sprintf("number %d (%s)", out.placeOf(m.Dab, rq.Laid[m.View]), which)
	}
	return fmt.Errorf("%w: %s fits worst", err, which)
}

// placeOf returns the number in its photo of a dab, where those of dyes that are not to be
// mixed lie as well.
func (out *Bench) placeOf(dab int, in Laid) int {
	for i, laid := range in.Of {
		if _, of := laid.amounts(out.Names); of {
			dab--
		}
		if dab < 0 {
			return i + 1
		}
	}
	return len(in.Of)
}

// Advise returns an error of a palette with what to do about it.
func Advise(err error) error {
	if err == nil {
		return nil
	}
	hint, text := "", err.Error()
	switch {
	case errors.Is(err, dye.ErrSameDye):
		hint = "leave one of them out: two that give one colour are one dye"
	case errors.Is(err, dye.ErrReference):
		text = strings.Replace(text, "the reference is", "a dab is", 1)
		hint = "lay the dab again from the shaken bottle, and bare hide in the card's window marked hide: it shows no dye"
	case errors.Is(err, dye.ErrTogether):
		hint = "name the dabs in reading order, each with its part of dye, and lay all of them on one kind of hide"
	case errors.Is(err, dye.ErrReflectance):
		hint = "check that the dab and the bare hide lie where they should, and take the photo again in even, matt light"
	case errors.Is(err, dye.ErrParts):
		hint = "name one dye or more, up to 24, each with a dab of its own and parts above 0"
	}
	return refusal.New(err, hint, "%s", text)
}
