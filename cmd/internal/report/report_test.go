package report

import "testing"

// A zone has no number, and an imported record may hold any.
func TestNumbered(t *testing.T) {
	p := Photo{Pieces: []Piece{{Name: "a"}, {Name: "its fold", Zone: true}, {Name: "b"}}}
	for number, want := range map[int]string{-1: "", 0: "", 1: "a", 2: "b", 3: ""} {
		got := ""
		if piece := p.Numbered(number); piece != nil {
			got = piece.Name
		}
		if got != want {
			t.Errorf("piece %d is %q, want %q", number, got, want)
		}
	}
}
