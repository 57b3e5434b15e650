package batch

import (
	"cmp"
	"fmt"
	"strings"

	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
)

// Verdicts says what counts of each photo that a batch holds. A photo held against
// another colour than kept, the colour's swatch, or than most photos when that is nil,
// counts as not judged; one that shows fewer pieces than the photo whose place it took
// counts so as well, for those that it lacks.
func Verdicts(held shadebook.BatchResult, kept *colour.Lab) (all []shadebook.Verdicts) {
	problems := strange(held.Checks, kept)
	for i, c := range held.Checks {
		v := shadebook.Verdicts{Check: c.ID, Why: cmp.Or(strings.TrimPrefix(c.Problem, c.Photo.File+": "), problems[i]), Pieces: []shadebook.PieceVerdict{}}
		if v.Why == "" {
			for _, p := range c.Pieces {
				v.Pieces = append(v.Pieces, shadebook.PieceVerdict{Number: p.Number, Verdict: p.Verdict})
			}
			if before := held.Before[c.ID]; len(c.Pieces) < before {
				v.Why = fmt.Sprintf("it shows %d of the %d pieces that the photo showed whose place it took: photograph all of them", len(c.Pieces), before)
			}
		}
		all = append(all, v)
	}
	return all
}

// counted returns the pieces of a check that count, with their verdicts.
func counted(c shadebook.Check, v shadebook.Verdicts) (pieces []shadebook.Judged) {
	verdicts := map[int]string{}
	for _, p := range v.Pieces {
		verdicts[p.Number] = p.Verdict
	}
	for _, p := range c.Pieces {
		if verdict, counts := verdicts[p.Number]; counts {
			p.Verdict = verdict
			pieces = append(pieces, p)
		}
	}
	return pieces
}
