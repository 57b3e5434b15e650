package record

import (
	"fmt"
	"time"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/tolerance"
)

// Bottle returns the record of one bottle in a photo of dabs.
func Bottle(photo report.Dabs, d report.Dab, file shadebook.PhotoFile) shadebook.Check {
	c := dabs(shadebook.OfBottle, d.Name, file, photo.Taken, photo.Camera)
	judged := shadebook.Judged{Number: 1, Name: d.Name, Verdict: string(d.Verdict)}
	if d.Verdict != tolerance.Retake {
		judged.Measured = strength(d.Strength)
	}
	c.Pieces = []shadebook.Judged{judged}
	return c
}

// Ladder returns the record of a ladder of a bottle.
func Ladder(l report.Ladder, bottle string, file shadebook.PhotoFile) shadebook.Check {
	c := dabs(shadebook.OfLadder, bottle, file, l.Taken, l.Camera)
	for i, r := range l.Rungs {
		c.Pieces = append(c.Pieces, shadebook.Judged{Number: i + 1, Name: fmt.Sprintf("dab %d", i+1), Measured: strength(r.Strength)})
	}
	return c
}

func dabs(kind, bottle string, file shadebook.PhotoFile, taken, camera string) shadebook.Check {
	c := shadebook.Check{Kind: kind, Bottle: bottle, Photo: file, Camera: camera}
	c.Taken, _ = time.Parse(time.RFC3339, taken) // zero when the photo does not say
	return c
}

func strength(s report.Strength) *shadebook.Measured {
	return &shadebook.Measured{Lab: lab(s.Lab), DE00: s.ShadeDE00, U: s.ShadeU, Interval: s.ShadeInterval, Strength: &s.Strength}
}
