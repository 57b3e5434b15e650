package bottles

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/tolerance"
)

// Show returns what the book knows of a bottle. ErrNoRecord.
func Show(ctx context.Context, b *shadebook.Book, name string) (report.BottleShown, error) {
	bottle, err := b.BottleNamed(ctx, name)
	if err != nil {
		return report.BottleShown{}, err
	}
	return show(ctx, b, bottle)
}

// ShowDye returns what the book knows of all bottles of a dye. ErrNoRecord.
func ShowDye(ctx context.Context, b *shadebook.Book, dye string) (report.DyeShown, error) {
	out := report.DyeShown{Version: report.Version}
	found, err := OfDye(ctx, b, dye)
	if err == nil && len(found) == 0 {
		err = refusal.New(shadebook.ErrNoRecord, "evenhide bottle list shows the bottles with their dyes", "there is no bottle of the dye %q in the book", dye)
	}
	if err != nil {
		return out, err
	}
	out.Dye = found[0].Dye
	for _, bottle := range found {
		shown, err := show(ctx, b, bottle)
		if err != nil {
			return out, err
		}
		out.Bottles = append(out.Bottles, shown)
	}
	return out, nil
}

// OfDye returns the bottles of a dye by name, whatever the case and spaces it is written with.
func OfDye(ctx context.Context, b *shadebook.Book, dye string) ([]shadebook.Bottle, error) {
	all, err := b.Bottles(ctx)
	dye = shadebook.Folded(dye)
	return slices.DeleteFunc(all, func(bottle shadebook.Bottle) bool { return shadebook.Folded(bottle.Dye) != dye }), err
}

func show(ctx context.Context, b *shadebook.Book, bottle shadebook.Bottle) (report.BottleShown, error) {
	out := report.NewBottleShown(bottle)
	checks, err := b.BottleChecks(ctx, bottle.Name, shadebook.OfBottle)
	if err != nil {
		return out, err
	}
	for _, c := range checks {
		var photo report.Dabs
		if err := json.Unmarshal(c.Result, &photo); err != nil || len(photo.Dabs) != 1 {
			return out, fmt.Errorf("the result of check %d is not that of one bottle (%v)", c.ID, err)
		}
		out.Checks = append(out.Checks, report.NewBottleCheck(c.Check, photo.Dabs[0]))
	}
	slices.SortStableFunc(out.Checks, func(a, b report.BottleCheck) int { return b.When.Compare(a.When) })
	out.Falling = falling(out.Checks)
	if out.Ladder, err = newestLadder(ctx, b, bottle.Name); err == nil {
		out.Dabs, err = newestDabs(ctx, b, bottle.Name)
	}
	return out, err
}

// newestDabs returns the dabs that were kept last of a bottle, for blends; nil where there
// are none.
func newestDabs(ctx context.Context, b *shadebook.Book, bottle string) (*report.DabsShown, error) {
	checks, err := b.BottleChecks(ctx, bottle, shadebook.OfDabs)
	if err != nil || len(checks) == 0 {
		return nil, err
	}
	var d report.DyeDabs
	if err := checks[0].Into(&d); err != nil {
		return nil, err
	}
	return report.NewDabsShown(checks[0].Check, d), nil
}

// falling tells by how much a bottle's strength fell, from its checks, newest first;
// nil where it did not for sure. What comes after a check that said to thin the bottle
// is not held against what was before.
func falling(checks []report.BottleCheck) *report.Falling {
	var readings []tolerance.Dated
	var since report.BottleCheck
	for _, c := range checks {
		if c.Verdict == tolerance.Thin {
			break
		}
		if c.Verdict == tolerance.Retake {
			continue
		}
		const day = 24 * 3600 // seconds
		readings = append(readings, tolerance.Dated{Day: float64(c.When.Unix()) / day, Value: c.Strength.Strength, U: (c.Interval[1] - c.Interval[0]) / 2})
		since = c
	}
	slices.Reverse(readings)
	fall, sure := tolerance.Falling(readings)
	if !sure {
		return nil
	}
	return report.NewFalling(fall, since.When)
}
