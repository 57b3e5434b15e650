package check_test

import (
	"slices"
	"strings"
	"testing"

	"evenhide/calibrate/scene"
	"evenhide/cmd/internal/report"
)

// TestDampPieces holds that damp patches that shine are warned of, whatever the
// verdict, and that nothing else is.
func TestDampPieces(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	damp := func(radius, more float64) []scene.Damp {
		return []scene.Damp{{Circle: scene.Circle{Point: scene.Point{X: 5, Y: -6}, Radius: radius}, More: more}}
	}
	shine := []scene.Glare{{Circle: scene.Circle{Point: scene.Point{X: 8, Y: -2}, Radius: 4}, Strength: .4}}
	tooling := []scene.Line{{From: scene.Point{X: -20, Y: 5}, To: scene.Point{X: 20, Y: 5}}, {From: scene.Point{X: -20, Y: 8}, To: scene.Point{X: 20, Y: 8}}}
	const wet = 3 // of these
	surfaces := []scene.Surface{
		{Grain: .03, Blotch: .4, Damp: damp(8, 1.6), Glare: shine},
		{Grain: .03, Blotch: .4, Damp: damp(16, 1.8), Glare: shine},
		{Grain: .06, Blotch: .7, Slope: 2, Damp: damp(10, 1.7), Glare: shine},
		{Grain: .06, Blotch: .7, Slope: 2, Damp: damp(10, 1.7)}, // without shine
		{Grain: .03, Blotch: .2, Glare: shine},                  // even
		{Grain: .06, Blotch: 2, BlotchSize: 8, Glare: shine},    // patchy
		{Grain: .03, Streak: 2, StreakWidth: 4, StreakAngle: 20, Glare: shine},
		{Grain: .2, Glare: shine, Crease: 3, Edge: 1.5, Tooling: tooling}, // embossed
	}
	for _, seed := range []uint64{1, 4} {
		got, _ := taken(t, laidOut(t, seed, surfaces...), usual())
		if len(got.Pieces) != len(surfaces) {
			t.Fatalf("%d pieces, wanted %d: %s", len(got.Pieces), len(surfaces), got.Error)
		}
		var text strings.Builder
		if err := report.WriteText(&text, report.Report{Photos: []report.Photo{got}}); err != nil {
			t.Fatal(err)
		}
		for i, p := range got.Pieces {
			warned := slices.ContainsFunc(p.Reasons, func(r string) bool { return strings.HasPrefix(r, "may be damp: ") })
			if warned != (i < wet) {
				t.Errorf("seed %d, piece %s: %s, %v", seed, p.Name, p.Verdict, p.Reasons)
			}
			if printed := strings.Contains(text.String(), p.Name+": may be damp: "); printed != warned {
				t.Errorf("seed %d, piece %s, %s: printed %v", seed, p.Name, p.Verdict, printed)
			}
		}
		if ship := got.Pieces[0]; ship.Verdict != "ship" || !strings.Contains(text.String(), "hint: let it dry") {
			t.Errorf("seed %d: a small damp patch made the verdict %s with hint %q", seed, ship.Verdict, ship.Hint)
		}
	}
}
