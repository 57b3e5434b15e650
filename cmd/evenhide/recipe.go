package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/blends"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
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
alike, dry. Two dabs of each bottle tell most, one as it is and one of two parts of dye
with three of water (NAME:0.4), with two of a mix of all of them, likewise: of equal
parts (Tan+Navy), or three to one (Tan*3+Navy), made of thirty drops or more of each. The
dabs kept last of a bottle count; a mix counts where each bottle in it has its dabs from
the same photo.

  --of NAME[:PART],...     the bottles of the dabs in reading order, with how much of
                           each is dye, and mixes of them:
                           "Tan,Navy,Tan+Navy,Tan:0.4,Navy:0.4,Tan+Navy:0.4"
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

// keepDabs keeps the dabs of a photo, those of each bottle together and a mix with each
// that is in it.
func keepDabs(ctx context.Context, b *shadebook.Book, photo string, rq check.Request, dabs []blends.Dab) (report.DabsKept, error) {
	out := report.DabsKept{Version: report.Version}
	names := blends.DyesOf(dabs)
	for _, name := range names { // before the photo is read
		if _, err := b.BottleNamed(ctx, name); err != nil {
			return out, err
		}
	}
	file, err := record.PhotoFile(photo)
	if err == nil {
		err = notKept(ctx, b, file)
	}
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
	for _, name := range names {
		c := shadebook.Check{Kind: shadebook.OfDabs, Bottle: name, Photo: file, Taken: seen.Taken, Camera: seen.Camera}
		of := blends.Keep(seen, dabs, name)
		of.File, of.Light = photo, rq.Light
		for i, d := range of.Dabs {
			c.Pieces = append(c.Pieces, shadebook.Judged{Number: i + 1, Name: fmt.Sprintf("dab %d", i+1),
				Measured: &shadebook.Measured{Lab: colour.Lab{L: d.Lab[0], A: d.Lab[1], B: d.Lab[2]}, Cov: d.Cov}})
		}
		result, err := json.Marshal(of)
		if err == nil {
			c, err = b.AddCheck(ctx, c, shadebook.Evidence{Result: result})
		}
		if err != nil {
			return out, err
		}
		of.Kept = c.ID
		out.Bottles = append(out.Bottles, of)
	}
	return out, nil
}

// notKept refuses a photo whose dabs are in the book, of whichever bottles: were some of
// them kept once more, those of one dab would tell of two.
func notKept(ctx context.Context, b *shadebook.Book, photo shadebook.PhotoFile) error {
	kept, err := b.DabsOfPhoto(ctx, photo)
	if err != nil || len(kept) == 0 {
		return err
	}
	var what, drops []string
	for _, c := range kept {
		what = append(what, fmt.Sprintf("check %d of %q", c.ID, c.Bottle))
		drops = append(drops, fmt.Sprintf("evenhide check drop %d", c.ID))
	}
	return refusal.New(shadebook.ErrStored, "a photo counts once; to keep it anew, under other names, first take back what was kept: "+strings.Join(drops, ", "),
		"%s: its dabs are in the book already: %s", photo.File, strings.Join(what, ", "))
}
