package check

import (
	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/report"
)

// subject returns what a picture shows of the dabs of bottles, with what is said of
// each if anything is, and of more dabs of the reference.
func (t *dabTable) subject(bottles [][]piece, said []report.Dab, references []piece) picture.Subject {
	t.judged = t.dabs
	s := picture.Subject{Field: t.field}
	t.show(&s)
	for i, dabs := range bottles {
		for _, d := range dabs {
			m := picture.Mark{Kind: picture.Piece, Outline: d.outline, Label: d.name}
			if i < len(said) {
				m.Verdict = said[i].Verdict
			}
			s.Marks = append(s.Marks, m)
		}
	}
	for _, d := range references {
		s.Marks = append(s.Marks, picture.Mark{Kind: picture.Window, Outline: d.outline, Label: Reference})
	}
	return s
}
