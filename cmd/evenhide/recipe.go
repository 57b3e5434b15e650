package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"evenhide/cmd/internal/blends"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

const (
	blendScaleUsage = `evenhide blend scale --mix DYE=PARTS,... --ml N [--json]

Measures a blend out, in millilitres and, up to 2 ml, in drops of 0.05 ml (common
practice, no source: count how many drops of your own dropper make a millilitre).

  --mix DYE=PARTS,...      "Tan=3,Oxblood=1,water=4"
  --ml N                   how much to make
  --json                   print it as JSON
`
	blendKeepUsage = `evenhide blend keep COLOUR --mix DYE=PARTS,... [options]

Keeps a recipe of a colour in the shade book. Those kept before stay, and evenhide
blend list shows them all.

  --mix DYE=PARTS,...      "Tan=3,Oxblood=1,water=4"
  --ml N                   how much was made
  --note TEXT              why it changed
` + bookUsage
	blendListUsage = `evenhide blend list COLOUR [--json]

Lists the recipes of a colour that were kept, the newest first.

` + listOptions
	bottleDabUsage = `evenhide bottle dab PHOTO --of NAME[:PART],... [options]

Keeps dabs of bottles of the shade book, from which evenhide blend mixes. Lay bare
hide in the card's window hide and the dabs on the sheet, all on the same hide, laid
alike, dry. Three dabs of each bottle tell most: one as it is, one of two parts of dye
with three of water (NAME:0.4), and one of one part with four (NAME:0.2). The dabs kept
last of a bottle count.

  --of NAME[:PART],...     the bottles of the dabs in reading order, with how much of
                           each is dye: "Tan,Tan:0.4,Navy"
  --light NAME             what you call the light of the photo
  --card FILE              measured greys of a card (repeat for more cards)
  --max-megapixels 120     refuse larger photos
  --json                   print what was kept as JSON
` + bookUsage
)

func runBlendScale(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("blend scale")
	text, ml, asJSON := fs.String("mix", "", ""), fs.Float64("ml", 0, ""), jsonFlag(fs)
	if done, code, err := parse(fs, args, blendScaleUsage, stdout); done {
		return code, err
	}
	err := noNames(fs)
	var mix []shadebook.Part
	if err == nil {
		mix, err = mixOf(fs, *text, *ml, true)
	}
	if err == nil {
		err = printListed(stdout, report.NewScaled(mix, *ml), *asJSON)
	}
	return exitOf(err), err
}

func runBlendKeep(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("blend keep")
	text, ml, note, address := fs.String("mix", "", ""), fs.Float64("ml", 0, ""), fs.String("note", "", ""), bookFlag(fs)
	if done, code, err := parse(fs, args, blendKeepUsage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the colour's name")
	var mix []shadebook.Part
	if err == nil {
		mix, err = mixOf(fs, *text, *ml, false)
	}
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			r, err := b.AddRecipe(ctx, shadebook.Recipe{Colour: name, Parts: mix, ML: *ml, Note: *note})
			if err == nil {
				_, err = fmt.Fprintf(stdout, "%s: kept as recipe %d\n", r.Colour, r.ID)
			}
			return err
		})
	}
	return exitOf(err), err
}

func runBlendList(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("blend list")
	address, asJSON := bookFlag(fs), jsonFlag(fs)
	if done, code, err := parse(fs, args, blendListUsage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the colour's name")
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			recipes, err := b.Recipes(ctx, name)
			if err == nil {
				err = printListed(stdout, report.NewRecipes(name, recipes), *asJSON)
			}
			return err
		})
	}
	return exitOf(err), err
}

func runBottleDab(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("bottle dab")
	of, light, asJSON := fs.String("of", "", ""), fs.String("light", "", ""), jsonFlag(fs)
	cards, maxMegapixels, address := fs.StringArray("card", nil, ""), fs.Float64("max-megapixels", 120, ""), bookFlag(fs)
	if done, code, err := parse(fs, args, bottleDabUsage, stdout); done {
		return code, err
	}
	photo, err := oneName(fs, "a photo")
	var dabs []blends.Dab
	if err == nil && *of == "" {
		err = misuse(fs.Name(), "no bottle named: wanted --of NAME[:PART],...")
	}
	if err == nil {
		dabs, err = parseDabs(fs.Name(), "--of", *of)
	}
	var rq check.Request
	if err == nil {
		rq, err = dabRequest(fs.Name(), *cards, *maxMegapixels)
	}
	if err == nil {
		rq.Light = *light
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			kept, err := keepDabs(ctx, b, photo, rq, dabs)
			if err == nil {
				err = printListed(stdout, kept, *asJSON)
			}
			return err
		})
	}
	return exitOf(err), err
}

// keepDabs keeps the dabs of a photo, those of each bottle together.
func keepDabs(ctx context.Context, b *shadebook.Book, photo string, rq check.Request, dabs []blends.Dab) (report.DabsKept, error) {
	out := report.DabsKept{Version: report.Version}
	for _, d := range dabs { // before the photo is read
		if _, err := b.BottleNamed(ctx, d.Dye); err != nil {
			return out, err
		}
	}
	file, err := record.PhotoFile(photo)
	if err != nil {
		return out, err
	}
	seen, err := check.ReadDyes(photo, rq, len(dabs))
	if err == nil {
		err = blends.Telling(photo, seen, dabs)
	}
	if err != nil {
		return out, err
	}
	var checks []shadebook.Check
	for i, d := range dabs {
		k := slices.IndexFunc(checks, func(c shadebook.Check) bool { return c.Bottle == d.Dye })
		if k < 0 {
			k = len(checks)
			checks = append(checks, shadebook.Check{Kind: shadebook.OfDabs, Bottle: d.Dye, Photo: file, Taken: seen.Taken, Camera: seen.Camera})
			out.Bottles = append(out.Bottles, report.DyeDabs{Version: report.Version, Bottle: d.Dye, File: photo, Taken: report.Time(seen.Taken),
				Light: rq.Light, Camera: seen.Camera, Card: seen.Card, HideLab: report.Triple(seen.Hide.Lab), HideDoubt: report.NewHideDoubt(seen.Hide)})
		}
		e := seen.Dabs[i]
		n := len(checks[k].Pieces) + 1
		checks[k].Pieces = append(checks[k].Pieces, shadebook.Judged{Number: n, Name: fmt.Sprintf("dab %d", n), Measured: &shadebook.Measured{Lab: e.Lab, Cov: e.Cov}})
		out.Bottles[k].Dabs = append(out.Bottles[k].Dabs, report.DyeDab{Part: d.Part, Lab: report.Triple(e.Lab), Cov: e.Cov, Shared: report.NewShared(e)})
	}
	for i, c := range checks {
		result, err := json.Marshal(out.Bottles[i])
		if err == nil {
			_, err = b.AddCheck(ctx, c, shadebook.Evidence{Result: result})
		}
		if err != nil {
			return out, err
		}
	}
	return out, nil
}
