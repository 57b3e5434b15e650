package main

import (
	"context"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/blends"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
)

func blendCommands() []command {
	return []command{
		{"bottle dab", "PHOTO --of NAME,...", "keep dabs of bottles, for blends", runBottleDab},
		{"blend propose", "--dab NAME,...=PHOTO", "mix dyes to a colour", runBlendPropose},
		{"blend correct", "--mix DYE=PARTS,... --ml N", "bring a blend in hand to its colour", runBlendCorrect},
		{"blend scale", "--mix DYE=PARTS,... --ml N", "measure a blend out", runBlendScale},
		{"blend keep", "COLOUR --mix DYE=PARTS,...", "keep a recipe of a colour", runBlendKeep},
		{"blend list", "COLOUR", "list the recipes of a colour", runBlendList},
	}
}

const (
	blendDabs = `  --dab NAME[:PART],...=PHOTO  the dyes of the dabs in a photo, in reading order, with
                           how much of each is dye, and mixes of them:
                           "Tan,Navy,Tan+Navy,Tan:0.4,Navy:0.4,Tan+Navy:0.4=dabs.jpg"
                           (Tan*3+Navy is three to one; repeat for more photos)
  --dyes NAME,...          the dyes to mix; those without a --dab are bottles of the
                           shade book (evenhide bottle dab, or bottle ladder)
  --target COLOUR          a colour of the shade book: its tolerance, and its kept
                           swatch where none lies beside the dabs
  --target-lab L,a,b       or the target as Lab (D65, 2°)
  --light NAME             what you call the light of the photos
  --same-light             all was read in one light with one camera and card
  --card FILE              measured greys of a card (repeat for more cards)
  --max-megapixels 120     refuse larger photos
  --json                   print the result as JSON
` + bookUsage
	blendLaying = `Lay bare hide in the card's window hide, the swatch of the target in its window
swatch, and the dabs on the sheet, all on the same hide, laid alike, dry. Two dabs of
each dye tell most, one as it is in the bottle and one of two parts of dye with three of
water (NAME:0.4), with two of a mix of all of them, likewise: of equal parts (Tan+Navy),
or of about what you expect (Tan*3+Navy). Make it of thirty drops or more of each dye:
they are taken to be right within a drop in thirty. A photo of one dab alone may have it
in the window swatch.
`
	blendProposeUsage = `evenhide blend propose --dab NAME,...=PHOTO [options]

Proposes blends in whole parts for a colour, up to three, the fewest dyes first.

` + blendLaying + `
` + blendDabs + `  --keep N                 keep the N-th proposal as a recipe of --target

Exit code: 0, 1 when the target is out of these dyes' reach (they come no nearer than
half the tolerance), 2 when something could not be measured.
`
	blendCorrectUsage = `evenhide blend correct --mix DYE=PARTS,... --ml N --dab NAME,...=PHOTO [options]

Tells what to add to a blend in hand to bring it to its colour: nothing can be taken
out. Dabs and target are as for evenhide blend propose.

  --mix DYE=PARTS,...      what is in it: "Tan=3,Oxblood=1,water=4"; with neither --dab
                           nor --dyes, these dyes are what may be added
  --ml N                   how much there is
  --photo PHOTO            a dab laid from it, which counts for more than what it was
                           meant to be: alone on the sheet, with the swatch of the
                           target in its window, or itself in that window
` + blendDabs + `
Exit code: 0, 1 when the colour cannot be reached from there, 2 when something could
not be measured.
`
)

// blendFlags are the options that blend propose and correct have in common.
type blendFlags struct {
	fs                       *pflag.FlagSet
	dabs, cards              []string
	dyes, target, lab, light string
	sameLight                bool
	maxMegapixels            float64
	book                     *string
	json                     *bool
}

func newBlendFlags(fs *pflag.FlagSet) *blendFlags {
	o := &blendFlags{fs: fs}
	fs.StringArrayVar(&o.dabs, "dab", nil, "")
	fs.StringArrayVar(&o.cards, "card", nil, "")
	fs.StringVar(&o.dyes, "dyes", "", "")
	fs.StringVar(&o.target, "target", "", "")
	fs.StringVar(&o.lab, "target-lab", "", "")
	fs.StringVar(&o.light, "light", "", "")
	fs.BoolVar(&o.sameLight, "same-light", false, "")
	fs.Float64Var(&o.maxMegapixels, "max-megapixels", 120, "")
	o.book, o.json = bookFlag(fs), jsonFlag(fs)
	return o
}

// request checks the options and turns them into what is asked for.
func (o *blendFlags) request() (blends.Request, error) {
	command := o.fs.Name()
	rq := blends.Request{Colour: o.target}
	err := noNames(o.fs)
	if err == nil && o.target != "" && o.lab != "" {
		err = misuse(command, "--target and --target-lab exclude each other")
	}
	for _, text := range o.dabs {
		if err == nil {
			var l blends.Laid
			l, err = parseLaid(command, text)
			rq.Laid = append(rq.Laid, l)
		}
	}
	if err == nil && o.dyes != "" {
		rq.Dyes, err = dyeNames(command, o.dyes)
	}
	if err == nil && len(rq.Laid) == 0 && len(rq.Dyes) == 0 {
		err = misuse(command, "no dyes: wanted --dab NAME=PHOTO, or --dyes with bottles of the shade book")
	}
	if err == nil && o.lab != "" {
		rq.Lab = new(colour.Lab)
		*rq.Lab, err = parseLab(command, "--target-lab", o.lab)
	}
	if err == nil {
		rq.Request, err = dabRequest(command, o.cards, o.maxMegapixels)
	}
	rq.Light, rq.SameLight = o.light, o.sameLight
	return rq, err
}

// dabRequest says how photos of dabs are read.
func dabRequest(command string, cards []string, maxMegapixels float64) (check.Request, error) {
	rq := check.Request{Weights: colour.UnitWeights(), MaxPixels: int(1e6 * maxMegapixels)}
	err := aboveNought(command, "max-megapixels", maxMegapixels)
	if err == nil {
		rq.Measured, err = readCards(command, cards)
	}
	return rq, err
}

// parseLaid reads NAME[:PART],...=PHOTO.
func parseLaid(command, text string) (blends.Laid, error) {
	names, photo, found := strings.Cut(text, "=")
	if !found || photo == "" {
		return blends.Laid{}, misuse(command, "--dab %s: wanted NAME[:PART],...=PHOTO", text)
	}
	if part, _, more := strings.Cut(photo, ","); more && !math.IsNaN(number(part)) {
		return blends.Laid{}, refusal.New(nil, dabHint, "--dab: %q: how much of a dab is dye stands behind a colon", names+"="+part)
	}
	of, err := parseDabs(command, "--dab", names)
	return blends.Laid{Photo: photo, Of: of}, err
}

const dabHint = `write a dab as Tan, Tan:0.4, Tan+Navy, Tan*3+Navy or Tan+Navy:0.4, with commas between dabs`

// parseDabs reads DAB,... , each NAME[*PARTS][+NAME[*PARTS]...][:PART].
func parseDabs(command, option, text string) ([]blends.Dab, error) {
	dabs, err := dyeNames(command, text)
	var out []blends.Dab
	for _, dab := range dabs {
		d := blends.Dab{}
		mix, part, thinned := strings.Cut(dab, ":")
		if d.Part = 1; thinned {
			d.Part = number(part)
		}
		if !(d.Part > 0 && d.Part <= 1) {
			return nil, refusal.New(nil, dabHint, "%s: %q is no NAME:PART with a part of dye above 0 and up to 1", option, dab)
		}
		var wrong error
		if d.Of, wrong = parseMix(option, mix); wrong != nil {
			return nil, wrong
		}
		out = append(out, d)
	}
	if err == nil {
		err = noneSpeltOut(option, blends.DyesOf(out))
	}
	return out, err
}

// parseMix reads NAME[*PARTS][+NAME[*PARTS]...].
func parseMix(option, text string) (of []shadebook.Part, err error) {
	for _, each := range strings.Split(text, "+") {
		name, parts, counted := strings.Cut(each, "*")
		p := shadebook.Part{Dye: strings.TrimSpace(name), Parts: 1}
		if counted {
			p.Parts = number(parts)
		}
		switch {
		case p.Dye == "" || !(p.Parts > 0 && p.Parts <= mostParts):
			return nil, refusal.New(nil, dabHint, "%s: %q is no mix such as Tan+Navy or Tan*3+Navy", option, text)
		case blends.IsWater(p.Dye):
			return nil, refusal.New(nil, dabHint, "%s: %q: water is no dye: say how much is dye, as in Tan:0.4", option, text)
		case slices.ContainsFunc(of, func(q shadebook.Part) bool { return shadebook.Folded(q.Dye) == shadebook.Folded(p.Dye) }):
			return nil, refusal.New(nil, dabHint, "%s: %q has %s twice: Tan*2+Navy is two to one", option, text, p.Dye)
		}
		of = append(of, p)
	}
	return of, nil
}

// noneSpeltOut refuses a mix of other dyes that is written as a dye of its own: blends
// would be proposed of it.
func noneSpeltOut(option string, dyes []string) error {
	for _, name := range dyes {
		in := strings.FieldsFunc(name, func(r rune) bool { return strings.ContainsRune("/&;|", r) })
		of := func(part string) bool { return slices.Contains(dyes, strings.TrimSpace(part)) }
		if len(in) > 1 && !slices.ContainsFunc(in, func(part string) bool { return !of(part) }) {
			return refusal.New(nil, dabHint, "%s: %q is written as one dye, and its dyes are named as well", option, name)
		}
	}
	return nil
}

// number reads a number; NaN for what is none.
func number(text string) float64 {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// dyeNames reads NAME,... .
func dyeNames(command, text string) ([]string, error) {
	var out []string
	for _, name := range strings.Split(text, ",") {
		if name = strings.TrimSpace(name); name == "" {
			return nil, misuse(command, "%s: a dye has no name", text)
		}
		out = append(out, name)
	}
	return out, nil
}

// withBench gathers dyes and target, from the book as far as it is needed, and does
// something with them; b is nil where it is not.
func (o *blendFlags) withBench(rq blends.Request, book bool, do func(context.Context, *shadebook.Book, *blends.Bench) error) error {
	both := func(ctx context.Context, b *shadebook.Book) error {
		bench, err := blends.Gather(ctx, b, rq)
		if err == nil {
			err = do(ctx, b, bench)
		}
		return err
	}
	if book || rq.NeedsBook() {
		return withBook(*o.book, both)
	}
	return both(context.Background(), nil)
}

func runBlendPropose(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("blend propose")
	o, keep := newBlendFlags(fs), fs.Int("keep", 0, "")
	if done, code, err := parse(fs, args, blendProposeUsage, stdout); done {
		return code, err
	}
	rq, err := o.request()
	if err == nil && fs.Changed("keep") && o.target == "" {
		err = misuse(fs.Name(), "--keep keeps a recipe of a colour: wanted --target COLOUR")
	}
	var result report.Blends
	if err == nil {
		err = o.withBench(rq, fs.Changed("keep"), func(ctx context.Context, b *shadebook.Book, bench *blends.Bench) error {
			result = bench.Propose()
			if fs.Changed("keep") {
				recipe, err := blends.Keepable(result, *keep)
				if err == nil {
					recipe, err = b.AddRecipe(ctx, recipe)
				}
				if err != nil {
					return err
				}
				result.Kept = recipe.ID
			}
			return printListed(stdout, result, *o.json)
		})
	}
	return reached(result.OutOfReach, err)
}

// reached returns the exit code of a blend for a colour.
func reached(outOfReach bool, err error) (int, error) {
	if err == nil && outOfReach {
		return someDoNot, nil
	}
	return exitOf(err), err
}

func runBlendCorrect(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("blend correct")
	o := newBlendFlags(fs)
	text, ml, photo := fs.String("mix", "", ""), fs.Float64("ml", 0, ""), fs.String("photo", "", "")
	if done, code, err := parse(fs, args, blendCorrectUsage, stdout); done {
		return code, err
	}
	mix, err := mixOf(fs, *text, *ml, true)
	var rq blends.Request
	if err == nil {
		if o.dyes == "" && len(o.dabs) == 0 {
			o.dyes = strings.Join(blends.Dyes(mix), ",")
		}
		rq, err = o.request()
	}
	var result report.Correction
	if err == nil {
		err = o.withBench(rq, false, func(_ context.Context, _ *shadebook.Book, bench *blends.Bench) (err error) {
			if result, err = bench.Correct(mix, *ml, *photo, rq.Request); err == nil {
				err = printListed(stdout, result, *o.json)
			}
			return err
		})
	}
	return reached(result.OutOfReach, err)
}

// mixOf reads --mix and checks --ml, which must be said where it is wanted.
func mixOf(fs *pflag.FlagSet, text string, ml float64, wanted bool) ([]shadebook.Part, error) {
	const most = 1e6 // ml: a cubic metre
	mix, err := parseBlend(fs.Name(), "--mix", text)
	if err == nil {
		err = withDye(fs.Name(), "--mix", mix)
	}
	switch {
	case err != nil:
		return nil, err
	case wanted && !fs.Changed("ml"):
		return nil, misuse(fs.Name(), "no --ml: wanted how many millilitres")
	case fs.Changed("ml") && !(ml > 0 && ml <= most):
		return nil, misuse(fs.Name(), "--ml %v: wanted a number above 0, at most %.0f", ml, most)
	}
	return mix, nil
}
