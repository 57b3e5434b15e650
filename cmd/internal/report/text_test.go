package report

import (
	"strings"
	"testing"

	"evenhide/colour/tolerance"
)

// Pieces with the same reasons share their lines; one that differs in any has its own.
func TestReasonsInCommonAreSaidOnce(t *testing.T) {
	piece := func(name string, reasons ...string) Piece {
		return Piece{Name: name, Verdict: tolerance.Hold, Reasons: reasons}
	}
	shipped := Piece{Name: "5", Verdict: tolerance.Ship, Reasons: []string{"within the tolerance"}}
	p := Photo{Pieces: []Piece{piece("1", "a", "b"), piece("2", "a"), piece("3", "a", "b"), piece("strap", "b", "a"), shipped, piece("6", "a")}}
	var out strings.Builder
	p.writeReasons(&out)
	const want = "  1, 3: a\n  1, 3: b\n  2, 6: a\n  strap: b\n  strap: a\n"
	if out.String() != want {
		t.Errorf("printed\n%swanted\n%s", out.String(), want)
	}
}
