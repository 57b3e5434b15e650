package batch

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// belts is a batch of neutrals near L* 50, where ΔE00 is the difference in L* within
// a hundredth, in two photos. The second photo's light makes everything 2 lighter,
// its swatch too: on the mean of both swatches, L* 50, the pieces stand at
//
//	a/1 50.0   a/2 50.6   a/3 52.5   b/1 49.8   b/2 50.5
func belts() shadebook.BatchResult {
	return shadebook.BatchResult{
		Batch: shadebook.Batch{Name: "Belts", Colour: "Slate", State: shadebook.BatchOpen},
		Checks: []shadebook.Check{
			photo("in/a.jpg", "aa", 49, tolerance.InFrame().Floor, judged("Belts/a", tolerance.Ship, 49), judged("Belts/a", tolerance.Ship, 49.6), judged("Belts/a", tolerance.Hold, 51.5)),
			photo("in/b.jpg", "bb", 51, tolerance.InFrame().Floor, judged("Belts/b", tolerance.Ship, 50.8), judged("Belts/b", tolerance.LookAgain, 51.5), shadebook.Judged{Name: "Belts/b", Verdict: string(tolerance.Retake)}),
			{ID: 3, Photo: shadebook.PhotoFile{File: "in/c.jpg", SHA256: hash("cc")}, Problem: "in/c.jpg: no grey card was found"},
		},
	}
}

// sum sums up what is judged as it was checked.
func sum(held shadebook.BatchResult, kept *colour.Lab) report.Batch {
	return Sum(held, Verdicts(held, kept), 1, colour.UnitWeights())
}

func photo(file, sum string, ref, floor float64, pieces ...shadebook.Judged) shadebook.Check {
	for i := range pieces {
		if m := pieces[i].Measured; m != nil {
			m.DE00 = math.Abs(m.Lab.L - ref)
		}
		pieces[i].Number = i + 1
		pieces[i].Name = fmt.Sprintf("%s/%d", pieces[i].Name, i+1)
	}
	return shadebook.Check{ID: int64(sum[0]), Photo: shadebook.PhotoFile{File: file, SHA256: hash(sum)}, Reference: &shadebook.Reference{Lab: colour.Lab{L: ref}, Floor: floor}, Pieces: pieces}
}

func judged(name string, v tolerance.Verdict, l float64) shadebook.Judged {
	return shadebook.Judged{Name: name, Verdict: string(v), Measured: &shadebook.Measured{Lab: colour.Lab{L: l}, Cov: colour.Diagonal(.01, .01, .01)}}
}

func TestSum(t *testing.T) {
	b := sum(belts(), nil)
	want := map[string]int{"ship": 3, "another coat": 0, "hold": 1, "look again": 1, "retake": 1}
	if diff := cmp.Diff(want, b.Count); diff != "" || b.NotShipping() != 4 || b.Retakes() != 2 || b.Photos != 3 || len(b.Pieces) != 6 {
		t.Errorf("%d do not ship, %d retakes, %d photos, %d pieces\n%s", b.NotShipping(), b.Retakes(), b.Photos, len(b.Pieces), diff)
	}
	if got := fmt.Sprint(b.NotJudged); got != "[{c.jpg no grey card was found}]" {
		t.Errorf("not judged: %s", got)
	}
	// At a limit of 1 the closest join first: a/2 b/2 (0.1 apart), then a/1 b/1 (0.2), then
	// those two pairs, at most 0.8 apart; a/3 is 1.9 from the nearest.
	if diff := cmp.Diff([][]string{{"Belts/a/1", "Belts/a/2", "Belts/b/1", "Belts/b/2"}, {"Belts/a/3"}}, b.Lots); diff != "" {
		t.Error(diff)
	}
	const seen = .02 // SL takes a hundredth off at most, as above
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > seen {
			t.Errorf("%s %.3f, want %.3f", what, got, want)
		}
	}
	near("mean L*", b.Mean[0], 50.68)
	near("spread", b.Spread, math.Sqrt((.68*.68+.08*.08+1.82*1.82+.88*.88+.18*.18)/5))
	if b.Furthest.Pieces != [2]string{"Belts/a/3", "Belts/b/1"} || b.Shipping.Pieces != [2]string{"Belts/a/2", "Belts/b/1"} {
		t.Errorf("furthest apart %v, of those that ship %v", b.Furthest.Pieces, b.Shipping.Pieces)
	}
	near("furthest apart", b.Furthest.DE00, 2.7)
	near("of those that ship", b.Shipping.DE00, .8)
	// Standard uncertainty along the difference, squared: twice the scatter's variance,
	// and for each piece the camera's floor and 12 % of its difference from its own
	// swatch, 2.5 for a/3 and 0.2 for b/1. 1.96 of it above.
	u := math.Sqrt(.02 + 2*.15*.15 + math.Pow(.12*2.5, 2) + math.Pow(.12*.2, 2))
	const rank = .05 // the upper end is a rank of points, and a prior moves it by u²/2.7
	if got := b.Furthest.Interval[1]; math.Abs(got-2.7-1.96*u) > rank+u*u/2.7 {
		t.Errorf("furthest apart at most %.3f, want %.3f", got, 2.7+1.96*u)
	}
	for _, p := range b.Pieces {
		if measured := p.Verdict != string(tolerance.Retake); measured != (p.Lab != nil && p.Lot > 0) {
			t.Errorf("%+v", p)
		}
	}
	near("L* of b/1 on the common swatch", b.Pieces[3].Lab[0], 49.8)
	if len(b.Next) != 4 { // hold, look again, retake, and how a new photo takes its place
		t.Errorf("next: %q", b.Next)
	}
}

// Two photos against a swatch kept in another light say little of how their pieces
// match; two pieces in one photo do.
func TestFurthestKnowsWhatTwoPhotosShare(t *testing.T) {
	held := belts()
	for i := range held.Checks[:2] {
		held.Checks[i].Reference = &shadebook.Reference{Lab: colour.Lab{L: 50}, Floor: tolerance.OtherLight().Floor}
	}
	held.Checks[1].Pieces[1].Measured.Lab.L = 53
	two := sum(held, nil).Furthest
	held.Checks = held.Checks[:1]
	one := sum(held, nil).Furthest
	width := func(v [2]float64) float64 { return v[1] - v[0] }
	if one.Pieces != [2]string{"Belts/a/1", "Belts/a/3"} || two.Pieces != [2]string{"Belts/a/1", "Belts/b/2"} || width(two.Interval) < 2*width(one.Interval) {
		t.Errorf("in two photos %+v, in one %+v", two, one)
	}
}

// A brown swatch in a batch of greys: its pieces may match it and yet not belong.
func TestAnotherSwatchIsNotJudged(t *testing.T) {
	brown := photo("in/d.jpg", "dd", 38, tolerance.InFrame().Floor, judged("Belts/d", tolerance.Ship, 38))
	brown.Reference.Lab = colour.Lab{L: 38, A: 18, B: 24}
	grey, far := colour.Lab{L: 50}, colour.Lab{L: 38, A: 18, B: 24}
	for name, c := range map[string]struct {
		checks []shadebook.Check
		kept   *colour.Lab
		want   []string
	}{
		"one of three":     {append(belts().Checks[:2], brown), nil, []string{"d.jpg"}},
		"one of two":       {[]shadebook.Check{belts().Checks[0], brown}, nil, []string{"a.jpg", "d.jpg"}},
		"alone":            {[]shadebook.Check{brown}, nil, nil},
		"not the kept one": {[]shadebook.Check{belts().Checks[0], brown}, &grey, []string{"d.jpg"}},
		"most are not":     {append(belts().Checks[:2], brown), &far, []string{"a.jpg", "b.jpg"}},
	} {
		b := sum(shadebook.BatchResult{Checks: c.checks}, c.kept)
		var got []string
		for _, p := range b.NotJudged {
			got = append(got, p.Photo)
		}
		if diff := cmp.Diff(c.want, got); diff != "" || b.Retakes() < len(c.want) {
			t.Errorf("%s: %d retakes, %s", name, b.Retakes(), diff)
		}
		for _, p := range b.Pieces {
			if slices.Contains(c.want, p.Photo) {
				t.Errorf("%s: %s counts", name, p.Name)
			}
		}
	}
}

// A new photo of three pieces of four does not make the fourth vanish.
func TestPiecesThatANewPhotoLacksAreMissed(t *testing.T) {
	held := belts()
	held.Checks = held.Checks[:2]
	for i := range held.Checks {
		held.Checks[i].ID = int64(i + 7)
	}
	held.Before = map[int64]int{7: 3, 8: 4}
	b := sum(held, nil)
	want := []report.NotJudged{{Photo: "b.jpg", Why: "it shows 3 of the 4 pieces that the photo showed whose place it took: photograph all of them"}}
	if diff := cmp.Diff(want, b.NotJudged); diff != "" || len(b.Pieces) != 6 || b.Retakes() != 2 {
		t.Errorf("%s, %d pieces, %d retakes", diff, len(b.Pieces), b.Retakes())
	}
}

func TestSumOfNothing(t *testing.T) {
	held := belts()
	held.Checks = nil
	b := sum(held, nil)
	if b.Mean != nil || b.Furthest != nil || len(b.Lots) != 0 || len(b.Next) != 1 {
		t.Errorf("%+v", b)
	}
	held.Checks = belts().Checks[2:]
	if b = sum(held, nil); b.Mean != nil || b.Retakes() != 1 {
		t.Errorf("%+v", b)
	}
	held.Checks = []shadebook.Check{photo("a.jpg", "aa", 50, .15, judged("Belts/a", tolerance.Ship, 50))}
	if b = sum(held, nil); b.Mean == nil || b.Furthest != nil || len(b.Lots) != 1 || b.NotShipping() != 0 {
		t.Errorf("%+v", b)
	}
}

// An interrupted batch is stored in another order, at other times and under other
// IDs, and its report must not show it.
func TestSumDoesNotDependOnTheOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var text, other bytes.Buffer
		held := belts()
		for i := range held.Checks[:2] { // colours whose sums round
			for k := range held.Checks[i].Pieces {
				if m := held.Checks[i].Pieces[k].Measured; m != nil {
					m.Lab.A, m.Lab.B = float64(rapid.IntRange(-50, 50).Draw(t, "a"))/7, float64(rapid.IntRange(-50, 50).Draw(t, "b"))/7
				}
			}
		}
		if err := sum(held, nil).WriteText(&text); err != nil {
			t.Fatal(err)
		}
		first := sum(held, nil)
		held.Checks = rapid.Permutation(held.Checks).Draw(t, "order")
		for i := range held.Checks {
			held.Checks[i].ID, held.Checks[i].Stored = int64(i), time.Unix(int64(i), 0)
		}
		second := sum(held, nil)
		if err := second.WriteText(&other); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(first, second); diff != "" || text.String() != other.String() {
			t.Fatalf("%s\n%s", diff, cmp.Diff(text.String(), other.String()))
		}
	})
}
