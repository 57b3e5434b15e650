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
	if len(d.Beside) == 0 {
		fmt.Fprintf(out, "%s: dropped; its photo %s may be kept again\n", CheckInWords(d.Check), d.Check.Photo.File)
		return out.Flush()
	}
	fmt.Fprintf(out, "%s: dropped\n", CheckInWords(d.Check))
	var others []string
	for _, c := range d.Beside {
		others = append(others, fmt.Sprintf("check %d of %s", c.ID, oneLine(c.Bottle)))
	}
	say(out, "  its photo %s may be kept again once its other dabs are dropped too: %s", d.Check.Photo.File, strings.Join(others, ", "))
	return out.Flush()
}
