package check_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"evenhide/calibrate/scene"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

const demoFolder = "../../../testdata/demo"

// usual is a request with the command's defaults.
func usual() check.Request {
	return check.Request{Limits: tolerance.Limits{DE: 2, Blotch: 1.5}, Weights: colour.Weights{KL: 1, KC: 1, KH: 1}}
}

// TestDemoPhotos checks each photo with a card, told nothing else, and holds the
// verdicts against what the pieces were made to be, and each interval against
// the true difference in a large box clear of edge and seam, which are not
// measured.
func TestDemoPhotos(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(demoFolder, "truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	var records []struct {
		File  string
		Card  *struct{ Serial string }
		Items []struct {
			Kind   scene.Kind
			Box    [4]int
			DeltaE float64 `json:"box_delta_e00_to_swatch"`
		}
	}
	if err := json.Unmarshal(text, &records); err != nil {
		t.Fatal(err)
	}
	ship, coat := tolerance.Ship, tolerance.AnotherCoat
	verdicts := map[string][]tolerance.Verdict{"wallet.jpg": {ship}, "strap.jpg": {coat}, "notebook.jpg": {tolerance.Hold},
		"sleeve.jpg": {tolerance.Hold}, "bench.jpg": {ship, ship, coat, ship},
		"dabs.jpg": {ship, tolerance.LookAgain, coat, tolerance.Hold},
		"dyes.jpg": {tolerance.Hold, tolerance.Hold, tolerance.Hold, tolerance.Hold, tolerance.Hold, tolerance.Hold}}
	checked := 0
	for _, r := range records {
		if r.Card == nil {
			continue
		}
		checked++
		got := check.Photo(filepath.Join(demoFolder, r.File), usual())
		want := verdicts[r.File]
		if got.Error != "" || got.Card == nil || got.Card.Serial != r.Card.Serial || len(got.Pieces) != len(want) {
			t.Errorf("%s: %q, card %+v, %d pieces; wanted card %s and %d pieces", r.File, got.Error, got.Card, len(got.Pieces), r.Card.Serial, len(want))
			continue
		}
		for _, it := range r.Items {
			if it.Kind != scene.Piece {
				continue
			}
			p := pieceAt(got.Pieces, it.Box[0]+it.Box[2]/2, it.Box[1]+it.Box[3]/2)
			if p == nil || p.Measures == nil || p.Verdict != want[0] || it.DeltaE < p.Interval[0] || it.DeltaE > p.Interval[1] {
				t.Errorf("%s, truth %.2f: %s, wanted %s", r.File, it.DeltaE, said(p), want[0])
			}
			want = want[1:]
		}
	}
	if checked != len(verdicts) {
		t.Errorf("%d photos with a card, wanted %d", checked, len(verdicts))
	}
}

// pieceAt returns the piece whose measured box holds the pixel, or nil.
func pieceAt(pieces []report.Piece, x, y int) *report.Piece {
	i := slices.IndexFunc(pieces, func(p report.Piece) bool {
		return x >= p.Box[0] && x < p.Box[0]+p.Box[2] && y >= p.Box[1] && y < p.Box[1]+p.Box[3]
	})
	if i < 0 {
		return nil
	}
	return &pieces[i]
}

// said returns what was said of a piece.
func said(p *report.Piece) string {
	if p == nil || p.Measures == nil {
		return "not measured"
	}
	return fmt.Sprintf("%s, ΔE00 %.2f within %.2f", p.Verdict, p.DE00, p.Interval)
}
