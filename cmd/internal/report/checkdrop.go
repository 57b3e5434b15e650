package report

import (
	"fmt"
	"io"
	"strings"

	"evenhide/cmd/internal/shadebook"
)

// CheckDropped is a check that was just dropped, with those of the same photo that stand in
// the way of keeping it again.
type CheckDropped struct {
	Check  shadebook.Check
	Beside []shadebook.Check
}

// WriteText prints what was dropped, and what becomes of its photo.
func (d CheckDropped) WriteText(w io.Writer) error {
	out := newSheet(w)
	var others []string
	for _, c := range d.Beside {
		others = append(others, fmt.Sprintf("check %d of %s", c.ID, oneLine(c.Bottle)))
	}
	once := ""
	if len(others) > 0 {
		once = " once its other dabs are dropped too: " + strings.Join(others, ", ")
	}
	say(out, "%s: dropped", CheckInWords(d.Check))
	say(out, "  its photo %s may be kept again%s", oneLine(d.Check.Photo.File), once)
	return out.Flush()
}
