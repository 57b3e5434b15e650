package batch

import (
	"fmt"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/tolerance"
)

// next says what to do with a batch.
func next(b report.Batch) []string {
	out := []string{}
	say := func(n int, format string, args ...any) {
		if n > 0 {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	switch {
	case b.State != shadebook.BatchOpen:
	case b.Photos == 0:
		say(1, "evenhide batch check, with this batch and its photos")
	default:
		coats, looks := b.Count[string(tolerance.AnotherCoat)], b.Count[string(tolerance.LookAgain)]
		say(coats, "give %s another coat, photograph all of the old photo's pieces again and check that with --replaces and the old photo", these(coats))
		say(b.Count[string(tolerance.Hold)], "decide on what is on hold: set it aside, or approve with --reason")
		say(looks, "look at %s again beside the swatch in daylight, or take a closer photo of all of the old one's pieces and check it with --replaces", these(looks))
		say(b.Retakes(), "take the photos that could not be judged again and check them with --replaces and the old photo")
	}
	if b.NotShipping() == 0 && len(b.Pieces) > 0 {
		if b.State == shadebook.BatchOpen {
			say(1, "evenhide batch approve, with this batch")
		}
		say(len(b.Lots)-1, "fill each order from one lot")
	}
	return out
}

func these(n int) string {
	if n == 1 {
		return "the one piece"
	}
	return fmt.Sprintf("the %d pieces", n)
}
