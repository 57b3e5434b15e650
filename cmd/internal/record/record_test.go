package record_test

import (
	"bytes"
	"encoding/json"
	"image/jpeg"
	"strconv"
	"testing"
	"time"

	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

func TestRecordOfADemoPhoto(t *testing.T) {
	var small []byte
	p := check.Photo("../../../testdata/demo/bench.jpg", check.Request{
		Limits: tolerance.Limits{DE: 2, Blotch: 1.5}, Weights: colour.UnitWeights(),
		Show: func(s picture.Subject) {
			var err error
			if small, err = record.Picture(s); err != nil {
				t.Error(err)
			}
		},
	})
	c := record.Check(p, "5a", func(n int) string { return "lot/bench/" + strconv.Itoa(n) })
	if c.Photo.SHA256 != "5a" || c.Photo.File != p.File || c.Problem != "" || len(c.Pieces) != len(p.Pieces) || len(c.Pieces) == 0 {
		t.Fatalf("%+v", c)
	}
	if c.Taken.Format(time.RFC3339) != p.Taken || c.Reference == nil || c.Reference.Floor != tolerance.InFrame().Floor || report.Triple(c.Reference.Lab) != p.Reference.Lab {
		t.Errorf("taken %v, reference %+v; the photo has %s, %+v", c.Taken, c.Reference, p.Taken, p.Reference)
	}
	for i, got := range c.Pieces {
		want := p.Pieces[i]
		if got.Number != i+1 || got.Name != "lot/bench/"+want.Name || got.Verdict != string(want.Verdict) {
			t.Errorf("piece %d is %+v", i+1, got)
		}
		if m := got.Measured; m == nil || report.Triple(m.Lab) != want.Lab || m.DE00 != want.DE00 || m.Interval != want.Interval || m.Cov == (colour.Matrix{}) ||
			m.Strength == nil || *m.Strength != want.Depth.Strength {
			t.Errorf("piece %d has %+v", i+1, m)
		}
	}
	e, err := record.Evidence(p, small)
	if err != nil {
		t.Fatal(err)
	}
	var back report.Photo
	if err := json.Unmarshal(e.Result, &back); err != nil || len(back.Pieces) != len(p.Pieces) {
		t.Errorf("the result does not come back: %v, %d pieces", err, len(back.Pieces))
	}
	const most = 20e3 // bytes: 20,000 pictures fit on any disk
	img, err := jpeg.DecodeConfig(bytes.NewReader(e.Picture))
	if err != nil || max(img.Width, img.Height) > 320 || len(e.Picture) > most {
		t.Errorf("picture: %v, %d×%d pixels in %d bytes", err, img.Width, img.Height, len(e.Picture))
	}
	t.Logf("result %d bytes, picture %d bytes", len(e.Result), len(e.Picture))
}

func TestRecordOfWhatCouldNotBeJudged(t *testing.T) {
	p := check.Photo("record.go", check.Request{})
	c := record.Check(p, "5a", nil)
	if c.Problem != p.Error || c.Problem == "" || c.Pieces != nil || c.Reference != nil || !c.Taken.IsZero() {
		t.Errorf("%+v", c)
	}
	if e, err := record.Evidence(p, nil); err != nil || len(e.Result) == 0 || len(e.Picture) != 0 {
		t.Errorf("%v, %d bytes of picture", err, len(e.Picture))
	}
}

// A piece of verdict retake may have figures that no one should count on, and a zone
// is part of a piece.
func TestRecordLeavesOutWhatIsNotSure(t *testing.T) {
	p := report.Photo{Reference: &report.Reference{Source: report.Given}, Pieces: []report.Piece{
		{Verdict: tolerance.Ship, Measures: &report.Measures{DE00: 1}},
		{Verdict: tolerance.Hold, Measures: &report.Measures{DE00: 3}, Zone: true},
		{Verdict: tolerance.Retake, Measures: &report.Measures{DE00: 1}},
		{Verdict: tolerance.Retake},
	}}
	c := record.Check(p, "5a", strconv.Itoa)
	if len(c.Pieces) != 3 || c.Pieces[0].Measured == nil || c.Pieces[1].Measured != nil || c.Pieces[2].Measured != nil || c.Pieces[2].Name != "3" {
		t.Errorf("%+v", c.Pieces)
	}
	if c.Reference.Floor != tolerance.OtherLight().Floor {
		t.Errorf("floor %v", c.Reference.Floor)
	}
}
