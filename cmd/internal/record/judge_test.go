package record_test

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// What a result says, once it went through JSON, is judged by other limits exactly as a
// check by those limits judges the photo.
func TestJudgeAsAnotherCheckWould(t *testing.T) {
	w := colour.Weights{KL: 1.5, KC: 1, KH: 1}
	limits := []tolerance.Limits{{DE: 2, Blotch: 1.5}, {DE: .4, Blotch: 1.5}, {DE: 6, Blotch: .4}, {DE: .9, Blotch: .01}}
	verdicts := map[tolerance.Verdict]bool{}
	for _, photo := range []string{"bench", "sleeve", "strap", "wallet"} {
		checked := func(lim tolerance.Limits) report.Photo {
			return check.Photo("../../../testdata/demo/"+photo+".jpg", check.Request{Limits: lim, Weights: w})
		}
		text, err := json.Marshal(checked(limits[0]))
		if err != nil {
			t.Fatal(err)
		}
		var kept report.Photo
		if err := json.Unmarshal(text, &kept); err != nil {
			t.Fatal(err)
		}
		for _, lim := range limits {
			for i, want := range checked(lim).Pieces {
				verdict, reasons := record.Judge(kept.Pieces[i], *kept.Reference, w, lim)
				if diff := cmp.Diff(want.Reasons, reasons); diff != "" || verdict != want.Verdict {
					t.Errorf("%s, piece %d, %v: %s, want %s\n%s", photo, i+1, lim, verdict, want.Verdict, diff)
				}
				verdicts[verdict] = true
			}
		}
	}
	if len(verdicts) < 4 {
		t.Errorf("only %v were tried", verdicts)
	}
	blurred := report.Piece{Verdict: tolerance.Retake, Reasons: []string{"blurred"}, Measures: &report.Measures{}}
	if verdict, _ := record.Judge(blurred, report.Reference{}, w, limits[2]); verdict != tolerance.Retake {
		t.Errorf("a piece that cannot be judged is %s", verdict)
	}
}
