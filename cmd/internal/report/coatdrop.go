package report

import (
	"fmt"
	"io"
	"strings"

	"evenhide/cmd/internal/shadebook"
)

// CoatDropped is a coat that was just dropped, with those that are left of its piece.
type CoatDropped struct {
	Drop shadebook.CoatDrop
	Left []shadebook.Coat
}

// WriteText prints what was dropped, and how many coats the piece has now.
func (d CoatDropped) WriteText(w io.Writer) error {
	out := newSheet(w)
	c, kept, now := d.Drop.Coat, "", "no coats"
	if n := len(d.Left); n > 0 {
		last := d.Left[n-1]
		if now = "1 coat"; last.Has > 1 {
			now = fmt.Sprintf("%d coats", last.Has)
		}
		if last.Number > c.Number {
			kept = "; the others keep their numbers, and the next is coat " + fmt.Sprint(last.Number+1)
		}
	}
	of := strings.TrimSuffix(fmt.Sprintf("coat %d, %s", c.Number, day(c.When)), ", ")
	say(out, "%s: %s: dropped; it has %s now%s", oneLine(c.Piece), of, now, kept)
	say(out, "  if it was laid, and only noted wrongly: evenhide coat add PIECE --number %d --when TIME", c.Number)
	return out.Flush()
}
