// Package record turns the result of a check into what the shade book keeps of it.
package record

import (
	"bytes"
	"encoding/json"
	"image/jpeg"
	"time"

	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Check returns the record of a photo's result, with the pieces called as name says
// of their numbers, from 1. Zones are parts of pieces and stay in the evidence alone.
func Check(p report.Photo, sha256 string, name func(number int) string) shadebook.Check {
	c := shadebook.Check{Photo: shadebook.PhotoFile{File: p.File, SHA256: sha256}, Camera: p.Camera, Problem: p.Error}
	c.Taken, _ = time.Parse(time.RFC3339, p.Taken) // zero when the photo does not say
	if p.Error != "" {
		return c
	}
	c.Reference = &shadebook.Reference{Lab: lab(p.Reference.Lab), Floor: model(*p.Reference).Floor}
	for i, piece := range p.Whole() {
		n := i + 1
		c.Pieces = append(c.Pieces, shadebook.Judged{Number: n, Name: name(n), Verdict: string(piece.Verdict), Measured: measured(*piece)})
	}
	return c
}

// model returns how far photos held against such a reference can be compared.
func model(r report.Reference) tolerance.Model {
	switch {
	case r.Source == report.InFrame:
		return tolerance.InFrame()
	case r.SameLight:
		return tolerance.SameLight()
	}
	return tolerance.OtherLight()
}

// measured returns the figures of a piece; nil when there are none to be trusted.
func measured(p report.Piece) *shadebook.Measured {
	if p.Measures == nil || p.Verdict == tolerance.Retake {
		return nil
	}
	m := &shadebook.Measured{Lab: lab(p.Lab), Cov: p.LabCov, DE00: p.DE00, U: p.U, Interval: p.Interval, Blotch: p.Blotch.RMS}
	if p.Depth != nil {
		m.Strength = &p.Depth.Strength
	}
	return m
}

func lab(v [3]float64) colour.Lab { return colour.Lab{L: v[0], A: v[1], B: v[2]} }

// Evidence returns what stays to look at: the whole result as JSON, and a picture of
// what was measured, which may be empty.
func Evidence(whole any, picture []byte) (shadebook.Evidence, error) {
	result, err := json.Marshal(whole)
	return shadebook.Evidence{Result: result, Picture: picture}, err
}

// Picture returns a small JPEG of what was measured.
func Picture(s picture.Subject) ([]byte, error) {
	const long, quality = 320, 60 // pixels: enough to see which piece is which, in about 10 kB
	s.Long, s.Title, s.Notes, s.Patches, s.LeftOut = long, "", nil, nil, nil
	var pieces []picture.Mark
	for _, m := range s.Marks {
		if m.Kind == picture.Piece {
			m.Text = nil // too small to be read
			pieces = append(pieces, m)
		}
	}
	s.Marks = pieces
	var buf bytes.Buffer
	err := jpeg.Encode(&buf, picture.Draw(s), &jpeg.Options{Quality: quality})
	return buf.Bytes(), err
}
