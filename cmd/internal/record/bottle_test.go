package record_test

import (
	"bytes"
	"encoding/json"
	"image/jpeg"
	"testing"
	"time"

	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

func TestRecordOfDabs(t *testing.T) {
	const photo = "../../../testdata/demo/dabs.jpg"
	var small []byte
	rq := check.DabRequest{Bottle: tolerance.BottleLimits{Strength: .14, Shade: 2}, Request: check.Request{
		Weights: colour.UnitWeights(),
		Show: func(s picture.Subject) {
			marked := 0
			for _, m := range s.Marks {
				if m.Kind == picture.Piece && len(m.Outline) > 2 {
					marked++
				}
			}
			if marked != 4 {
				t.Errorf("%d dabs are marked, want 4", marked)
			}
			var err error
			if small, err = record.Picture(s); err != nil {
				t.Error(err)
			}
		}}}
	rq.Called = []string{"Tan", "Tan 2", "Tan", "Bark"}
	whole, err := check.Dabs(photo, rq)
	if err != nil {
		t.Fatal(err)
	}
	file := shadebook.PhotoFile{File: photo, SHA256: "5a"}
	for _, d := range whole.Dabs {
		c := record.Bottle(whole, d, file)
		if c.Kind != shadebook.OfBottle || c.Bottle != d.Name || c.Photo != file || c.Taken.Format(time.RFC3339) != whole.Taken || len(c.Pieces) != 1 {
			t.Fatalf("%s is kept as %+v", d.Name, c)
		}
		p := c.Pieces[0]
		if m := p.Measured; p.Verdict != string(d.Verdict) || m == nil || *m.Strength != d.Strength.Strength || m.DE00 != d.ShadeDE00 ||
			m.Interval != d.ShadeInterval || report.Triple(m.Lab) != d.Lab || !(m.U > 0) || !(m.Lab.L > 10 && m.Lab.L < 90) {
			t.Errorf("%s has %+v, %+v", d.Name, p, m)
		}
	}
	e, err := record.Evidence(whole, small)
	if err != nil {
		t.Fatal(err)
	}
	var back report.Dabs
	if err := json.Unmarshal(e.Result, &back); err != nil || len(back.Dabs) != 3 {
		t.Errorf("the result does not come back: %v, %d bottles", err, len(back.Dabs))
	}
	const most = 20e3 // bytes, as for pieces
	img, err := jpeg.DecodeConfig(bytes.NewReader(e.Picture))
	if err != nil || max(img.Width, img.Height) > 320 || len(e.Picture) > most {
		t.Errorf("picture: %v, %d×%d pixels in %d bytes", err, img.Width, img.Height, len(e.Picture))
	}
	retake := record.Bottle(whole, report.Dab{Name: "Tan", Verdict: tolerance.Retake}, file)
	if retake.Pieces[0].Measured != nil {
		t.Errorf("what could not be measured has %+v", retake.Pieces[0].Measured)
	}
	t.Logf("result %d bytes, picture %d bytes", len(e.Result), len(e.Picture))
}

func TestRecordOfALadder(t *testing.T) {
	l := report.Ladder{Taken: "2026-03-01T09:00:00Z", Rungs: []report.Rung{
		{Part: 1, Strength: report.Strength{Depth: report.Depth{Strength: 1.4}}}, {Part: .5, Strength: report.Strength{Depth: report.Depth{Strength: .8}}},
	}}
	c := record.Ladder(l, "Tan", shadebook.PhotoFile{File: "l.jpg", SHA256: "5a"})
	if c.Kind != shadebook.OfLadder || c.Bottle != "Tan" || c.Taken.IsZero() || len(c.Pieces) != 2 || c.Pieces[1].Name != "dab 2" || *c.Pieces[1].Measured.Strength != .8 {
		t.Errorf("%+v", c)
	}
}
