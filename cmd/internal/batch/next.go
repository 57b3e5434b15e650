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
		say(1, "evenhide batch check NAME PHOTO|FOLDER...")
	default:
		coats, looks := b.Count[string(tolerance.AnotherCoat)], b.Count[string(tolerance.LookAgain)]
		say(coats, "give %s another coat, and take a new photo when it is dry", these(coats))
		say(b.Count[string(tolerance.Hold)], "decide on what is on hold: set it aside, or approve with --reason")
		say(looks, "look at %s again beside the swatch in daylight, or take a closer photo", these(looks))
		say(b.Retakes(), "take what could not be judged again; a photo that is not of this batch: evenhide batch drop NAME PHOTO --reason TEXT")
		say(coats+looks+b.Retakes(), "a new photo of all its pieces takes an old one's place: evenhide batch check NAME NEWPHOTO --replaces OLDPHOTO")
	}
	if b.NotShipping() == 0 && len(b.Pieces) > 0 {
		if b.State == shadebook.BatchOpen {
			say(1, "evenhide batch approve NAME")
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
