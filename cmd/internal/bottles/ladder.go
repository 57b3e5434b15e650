package bottles

import (
	"context"
	"fmt"

	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/dye"
)

// ladderFor returns the ladder that a bottle is thinned by: its own newest, or else the
// newest of another bottle of its dye; nil where there is none.
func ladderFor(ctx context.Context, b *shadebook.Book, bottle shadebook.Bottle) (*check.KeptLadder, error) {
	own, err := newestLadder(ctx, b, bottle.Name)
	if err != nil {
		return nil, err
	}
	if own != nil {
		return ladderOf(*own, "the bottle's ladder of "+own.Day())
	}
	if bottle.Dye == "" {
		return nil, nil
	}
	others, err := OfDye(ctx, b, bottle.Dye)
	if err != nil {
		return nil, err
	}
	var newest *report.LadderKept
	for _, o := range others {
		l, err := newestLadder(ctx, b, o.Name)
		if err != nil {
			return nil, err
		}
		if l != nil && (newest == nil || l.Check > newest.Check) {
			newest = l
		}
	}
	if newest == nil {
		return nil, nil
	}
	return ladderOf(*newest, fmt.Sprintf("the ladder of %s, the same dye, of %s", newest.Bottle, newest.Day()))
}

// newestLadder returns the newest ladder of a bottle; nil where there is none.
func newestLadder(ctx context.Context, b *shadebook.Book, bottle string) (*report.LadderKept, error) {
	checks, err := b.BottleChecks(ctx, bottle, shadebook.OfLadder)
	if err != nil || len(checks) == 0 {
		return nil, err
	}
	l, err := ladderIn(checks[0])
	if err != nil {
		return nil, err
	}
	kept := report.NewLadderKept(checks[0].Check, l.Rungs)
	return &kept, nil
}

func ladderIn(c shadebook.BottleCheck) (l report.Ladder, err error) {
	err = c.Into(&l)
	return l, err
}

// ladderOf returns a kept ladder as bottles are thinned by it.
func ladderOf(k report.LadderKept, told string) (*check.KeptLadder, error) {
	var rungs []dye.Rung
	for _, r := range k.Rungs {
		rungs = append(rungs, dye.Rung{Concentration: r.Part, Strength: r.Strength.Strength, U: r.U})
	}
	l, err := dye.NewLadder(rungs)
	if err != nil {
		return nil, fmt.Errorf("check %d: %w", k.Check, err)
	}
	return &check.KeptLadder{Ladder: l, Told: told}, nil
}
