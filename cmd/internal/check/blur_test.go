package check_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"evenhide/calibrate/scene"
	"evenhide/colour/tolerance"
)

// What blur may do to the blotch of a piece that is still judged: half of the guard
// band of the verdict on evenness, for patches of 4 mm and streaks of 2 mm. A blur of
// goodBlur mm (standard deviation) is common, and must not be refused.
const blurWithin, goodBlur = 0.10, 0.5

// TestBlurredPhoto blurs one photo more and more.
func TestBlurredPhoto(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	const pixel = 297.0 / 1800 // mm
	var verdicts []bool
	for _, blur := range []float64{.6, 2.9, 3.6, 4.3, 5} {
		sc := laidOut(t, 1, scene.Surface{Grain: .03, Blotch: 2, BlotchSize: 4}, scene.Surface{Grain: .03, Streak: 2, StreakWidth: 2, StreakAngle: 30})
		sc.Camera.Blur = blur
		got, truth := taken(t, sc, usual())
		if got.Card == nil || len(got.Pieces) != 2 {
			t.Fatalf("blur of %.2f mm: card %v, %d pieces: %s", blur*pixel, got.Card, len(got.Pieces), got.Error)
		}
		for i, p := range got.Pieces {
			if p.Measures == nil {
				t.Fatalf("blur of %.2f mm: piece %s is not measured: %v", blur*pixel, p.Name, p.Reasons)
			}
			off := p.Blotch.RMS/truth.Items[2+i].Patchy - 1
			refused := p.Verdict == tolerance.Retake
			t.Logf("blur of %.2f mm, edges of %.2f mm: piece %s %s, blotch %+.1f %%", blur*pixel, got.Card.EdgeMM, p.Name, p.Verdict, 100*off)
			switch {
			case !refused && math.Abs(off) > blurWithin:
				t.Errorf("blur of %.2f mm: piece %s is judged %s with a blotch %+.0f %% off", blur*pixel, p.Name, p.Verdict, 100*off)
			case refused && blur*pixel < goodBlur:
				t.Errorf("blur of %.2f mm: piece %s is refused: %v", blur*pixel, p.Name, p.Reasons)
			case refused && (!strings.HasPrefix(p.Reasons[0], "the photo is blurred: edges of the card are ") || !strings.Contains(p.Hint, "tap to focus")):
				t.Errorf("refused for %v, hint %q", p.Reasons, p.Hint)
			}
			verdicts = append(verdicts, refused)
		}
	}
	if !verdicts[len(verdicts)-1] || slices.Index(verdicts, true) < 2 {
		t.Errorf("refused from sharp to blurred: %v", verdicts)
	}
}
