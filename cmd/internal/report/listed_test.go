package report

import (
	"errors"
	"strings"
	"testing"
	"time"

	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
)

// TestNotesKeepTheTable holds a note with line breaks and tabs to its one cell.
func TestNotesKeepTheTable(t *testing.T) {
	var out strings.Builder
	l := NewHides([]shadebook.Hide{{Name: "flank", Notes: "loose\n\tgrain"}, {Name: "côté", ThicknessMM: 2.38}})
	if err := l.WriteText(&out); err != nil {
		t.Fatal(err)
	}
	const want = "  hide    lot   thickness   finish   notes\n" +
		"  flank   –     –           –        loose grain\n" +
		"  côté    –     2.4 mm      –        –\n"
	if out.String() != want {
		t.Errorf("printed\n%swanted\n%s", out.String(), want)
	}
}

// TestUnwritable holds every listing to the error of what it is written to.
func TestUnwritable(t *testing.T) {
	for _, l := range []Listed{NewHides(nil), NewBottles(nil), NewColours(nil), NewColourShown(shadebook.ColourSummary{}, nil),
		NewPieceShown(shadebook.Piece{}, nil, nil, nil), NewSwatchKept(shadebook.Swatch{}, nil)} {
		if err := l.WriteText(full{}); !errors.Is(err, errFull) {
			t.Errorf("%T: %v", l, err)
		}
	}
}

type full struct{}

var errFull = errors.New("no room")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestChanges(t *testing.T) {
	before := shadebook.DefaultSettings()
	after := before
	if got := Changes(before, after); got != "nothing changed" {
		t.Error(got)
	}
	after.Tolerance, after.Coats, after.Notes = 1.5, 3, "thin"
	after.Blend = []shadebook.Part{{Dye: "Tan", Parts: 1}}
	const want = "tolerance 1.5, was 2; coats 3, was open; blend Tan 1, was open; the notes"
	if got := Changes(before, after); got != want {
		t.Errorf("%s; wanted %s", got, want)
	}
}

// TestKeptSwatchInWords holds the words for a swatch, with what is unknown left open,
// and its doubt to a calculation by hand: the square roots of 0.04 + 0.25/2/2 photos and
// of 1 more for another card's print, doubled: 0.64 and 2.10.
func TestKeptSwatchInWords(t *testing.T) {
	day := time.Date(2026, 3, 10, 12, 0, 0, 0, time.Local)
	s := NewSwatch(shadebook.Swatch{Lab: colour.Lab{L: 41.24, A: -18, B: 22}, Cov: colour.Diagonal(.04, .04, .04), Print: colour.Diagonal(1, 1, 1),
		Photos: make([]shadebook.PhotoFile, 2), Kept: day})
	for got, want := range map[string]string{
		s.String(): "L* 41.2 a* -18.0 b* 22.0, from 2 photos kept 2026-03-10 in a light without a name with an unknown camera",
		s.doubt():  "L* ± 0.6 a* ± 0.6 b* ± 0.6 with the same greys; ± 2.1, 2.1, 2.1 with another",
		Reference{Source: Kept, Colour: "Tan", Light: "lamp", Camera: "Marsh 1", Kept: Time(day)}.Against(): "kept swatch of Tan, read on 2026-03-10 in the light “lamp” with the camera “Marsh 1”",
		Reference{Source: Kept, Colour: "Tan"}.Against():                                                    "kept swatch of Tan, read in a light without a name with an unknown camera",
	} {
		if got != want {
			t.Errorf("%s; wanted %s", got, want)
		}
	}
}
