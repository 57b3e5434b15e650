package check_test

import (
	"fmt"
	"image"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"evenhide/calibrate/card"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/report"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// shown returns what a check reports, and what it hands to a picture.
func shown(path string, rq check.Request) (out report.Photo, s picture.Subject) {
	rq.Show = func(seen picture.Subject) { s = seen }
	return check.Photo(path, rq), s
}

// TestPictureShowsWhatIsReported holds that a check that is drawn reports what it
// does undrawn, and that the picture has each piece with its figures, the card,
// both windows and every grey step, all on the photo.
func TestPictureShowsWhatIsReported(t *testing.T) {
	path := filepath.Join(demoFolder, "bench.jpg")
	out, s := shown(path, usual())
	if diff := cmp.Diff(check.Photo(path, usual()), out); diff != "" {
		t.Errorf("drawing changes the report (-without +with):\n%s", diff)
	}
	var pieces []picture.Mark
	kinds := map[picture.Kind]int{}
	for _, m := range s.Marks {
		kinds[m.Kind]++
		if m.Kind == picture.Piece {
			pieces = append(pieces, m)
		}
		for _, c := range m.Outline {
			if c.X < 0 || c.Y < 0 || c.X > float64(s.Field.W) || c.Y > float64(s.Field.H) {
				t.Errorf("%+v lies out of the photo", m)
			}
		}
	}
	want := map[picture.Kind]int{picture.Card: 1, picture.Window: 2, picture.Step: len(card.NewLayout().Steps), picture.Piece: len(out.Pieces)}
	if diff := cmp.Diff(want, kinds); diff != "" {
		t.Fatalf("marks (-want +got):\n%s", diff)
	}
	for i, p := range out.Pieces {
		figures := fmt.Sprintf("ΔE00 %.1f (%.1f to %.1f) blotch %.1f %s", p.DE00, p.Interval[0], p.Interval[1], p.Blotch.RMS, p.Words)
		if m := pieces[i]; m.Label != p.Name || m.Verdict != p.Verdict || strings.Join(m.Text, " ") != figures {
			t.Errorf("piece %s %s is drawn as %+v", p.Name, p.Verdict, m)
		}
	}
	if len(s.Patches) == 0 || s.Develop == nil {
		t.Errorf("%d patches, developed %v", len(s.Patches), s.Develop != nil)
	}
}

// TestPictureOfWhatIsNotJudged holds that a piece that cannot be measured is drawn
// with its reason, and so is a photo.
func TestPictureOfWhatIsNotJudged(t *testing.T) {
	rq := usual()
	rq.Pieces = []check.Place{{Option: "--piece", Name: "speck", Rect: xywh(600, 450, 5, 5)}}
	out, s := shown(filepath.Join(demoFolder, "bench.jpg"), rq)
	m := s.Marks[len(s.Marks)-1]
	if m.Label != "speck" || m.Verdict != tolerance.Retake || len(m.Text) != 1 || m.Text[0] != out.Pieces[0].Reasons[0] {
		t.Errorf("drawn as %+v", m)
	}
	out, s = shown(filepath.Join(demoFolder, "strip.jpg"), usual()) // no card in it
	if out.Error == "" || s.Field == nil || len(s.Marks) > 0 || len(s.Notes) != 1 || !strings.Contains(out.Error, strings.TrimPrefix(s.Notes[0], "not judged: ")) {
		t.Errorf("%q is drawn with %d marks and %q", out.Error, len(s.Marks), s.Notes)
	}
}

// TestPictureLeavesOut holds that a grey step that cannot be used is drawn as left
// out.
func TestPictureLeavesOut(t *testing.T) {
	rq := usual()
	rq.Greys = []check.Place{{Option: "--grey", L: 50, Rect: xywh(20, 20, 60, 60)}, {Option: "--grey", L: 90, Rect: xywh(100, 20, 2, 2)}}
	rq.Swatch = &check.Place{Option: "--swatch", Rect: xywh(200, 300, 60, 60)}
	rq.Pieces = []check.Place{{Option: "--piece", Name: "1", Rect: xywh(300, 300, 100, 100)}}
	out, s := shown(filepath.Join(demoFolder, "bench.jpg"), rq)
	if out.Error != "" {
		t.Fatal(out.Error)
	}
	small := s.Field.Cells(rq.Greys[1].Rect)
	for _, r := range s.LeftOut {
		if r.Rect == small {
			return
		}
	}
	t.Errorf("the step at %v is not among %v", small, rects(s.LeftOut))
}

func xywh(x, y, w, h int) image.Rectangle { return image.Rect(x, y, x+w, y+h) }

func rects(regions []surface.Region) (out []string) {
	for _, r := range regions {
		out = append(out, r.Rect.String())
	}
	return out
}
