package coats

import (
	"fmt"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/tolerance"
)

const (
	never = .5 // what is more likely than not is said
	maybe = .2 // what is likely enough to be named
)

// judge turns a forecast into what to do. The last check's own verdict goes before
// it, because it knows the piece's whole colour and its surface.
func (h history) judge(out *report.CoatNext, c shadebook.Colour) {
	m := out.More
	var last tolerance.Verdict
	since := h.coats // coats that no check has seen
	if n := len(h.readings); n > 0 {
		r := h.readings[n-1]
		since -= r.coat.Has
		last = r.piece.Verdict
		out.Reasons = append(out.Reasons, fmt.Sprintf("dyed to %.0f %% of the reference's strength (%.0f to %.0f %%) after %s",
			100*r.piece.Depth.Strength, 100*r.piece.Depth.Interval[0], 100*r.piece.Depth.Interval[1], coats(r.coat.Has)))
		if last == tolerance.Hold {
			out.Verdict, out.Reasons = tolerance.Hold, append(out.Reasons[:0], r.piece.Reasons...)
			out.Hint = "more coats of this dye will not bring it there: check the bottle (evenhide bottle check --help), or ask what else it may be sold as"
			return
		}
	}
	seen := since == 0 && last != ""
	switch {
	case seen && last == tolerance.Ship:
		m.Least, m.Likely, m.Most = 0, 0, 0
		out.Verdict, out.Reasons = tolerance.Ship, append(out.Reasons, "within the tolerance: no more coats")
		return
	case m.Never > never:
		out.Verdict = tolerance.Hold
		out.Reasons = append(out.Reasons, fmt.Sprintf("will not get there: too little dye; its coats end near %.0f %%, and the tolerance of %.1f asks for %.0f %%",
			100*m.EndsAt, c.Tolerance, 100*m.Within[0]))
		out.Hint = "lay a stronger mix, or check the bottle (evenhide bottle check --help)"
		return
	case seen && last == tolerance.AnotherCoat:
		m.Least, m.Likely, m.Most = max(1, m.Least), max(1, m.Likely), max(1, m.Most)
	}
	if out.Verdict = tolerance.AnotherCoat; m.Likely == 0 {
		out.Verdict = tolerance.LookAgain
	}
	takes := ""
	if h.coats == 0 {
		takes = "takes "
	}
	out.Reasons = append(out.Reasons, fmt.Sprintf("%s%s to come within %.1f of the reference", takes, m.Than(h.coats), c.Tolerance))
	if m.Never > maybe {
		out.Reasons = append(out.Reasons, fmt.Sprintf("it may not get there at all (%.0f %%): too little dye", 100*m.Never))
	}
	if n := len(h.readings); n > 0 {
		if d := h.readings[n-1].piece.Depth; d.ShadeDE00 > c.Tolerance {
			out.Reasons = append(out.Reasons, fmt.Sprintf("its shade reads %.1f off at equal strength (%.1f to %.1f), and the tolerance is %.1f: no coat mends a shade",
				d.ShadeDE00, d.ShadeInterval[0], d.ShadeInterval[1], c.Tolerance))
		}
	}
	if m.Over > maybe && m.Most > 0 {
		out.Reasons = append(out.Reasons, fmt.Sprintf("the last coat may go past (%.0f %%): lay it thin", 100*m.Over))
	}
	switch {
	case h.coats > 0 && len(h.readings) == 0:
		out.Reasons = append(out.Reasons, coats(since)+" noted, and no check yet that counts")
	case since > 0:
		out.Reasons = append(out.Reasons, coats(since)+" since the last check that counts")
	}
	out.Reasons = append(out.Reasons, told(len(out.Readings), out.Earlier, c.Name))
	out.Hint = fmt.Sprintf("let each coat dry %.0f h, then check it before the next", h.drying)
	switch {
	case out.Verdict == tolerance.LookAgain && seen:
		out.Hint = "check it once more, close to the card and filling the frame, or decide by eye in daylight, before you lay more"
	case out.Verdict == tolerance.LookAgain:
		out.Hint = fmt.Sprintf("let it dry %.0f h and check it before you lay more", h.drying)
	}
}

// told says what a forecast is told from.
func told(own, earlier int, colourName string) string {
	from := fmt.Sprintf("%d earlier pieces of %s", earlier, colourName)
	if earlier == 1 {
		from = "one earlier piece of " + colourName
	}
	checks := fmt.Sprintf("%d checks", own)
	if own == 1 {
		checks = "one check"
	}
	switch {
	case own == 0:
		return "told from " + from
	case earlier == 0:
		return "told from " + checks + " of this piece alone and how dye mostly builds up: checks of more pieces make it surer"
	}
	return "told from " + checks + " of this piece and " + from
}

func coats(n int) string {
	if n == 1 {
		return "one coat"
	}
	return fmt.Sprintf("%d coats", n)
}
