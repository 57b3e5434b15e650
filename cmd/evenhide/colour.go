package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"evenhide/cmd/internal/blends"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

func colourCommands() []command {
	return []command{
		{"colour add", "NAME", "add a colour to the shade book", runColourAdd},
		{"colour change", "NAME", "change how a colour is made and judged", runColourChange},
		{"colour list", "", "list the colours", runColourList},
		{"colour show", "NAME", "show a colour's swatch, checks and changes", runColourShow},
	}
}

const colourOptions = `  --tolerance 2            ship up to this ΔE00 from the swatch
  --blotch-tolerance 1.5   ship up to this RMS blotch (ΔE00)
  --kl 1                   lightness weight (2 suits strongly grained leather)
  --coats 3                the usual number of coats; 0 is unknown
  --blend DYE=PARTS,...    what it is mixed from: "Tan=3,Oxblood=1,water=4"
  --drying-hours 12        between coats
  --notes TEXT
` + bookUsage

const colourAddUsage = `evenhide colour add NAME [options]

Adds a colour to the shade book. What is not said is as shown here, and the number
of coats, the blend and the notes stay open.

` + colourOptions + `
evenhide swatch keep then keeps the swatch that the colour is held to.
`

const colourChangeUsage = `evenhide colour change NAME [options]

Changes what is given and leaves the rest as it was; evenhide colour show lists
every change. Batches that are open are judged by new tolerances from then on, also
what was checked before.

` + colourOptions

// colourFlags are the settings of a colour as typed.
type colourFlags struct {
	fs    *pflag.FlagSet
	typed shadebook.Settings
	blend string
}

func newColourFlags(fs *pflag.FlagSet) *colourFlags {
	c := &colourFlags{fs: fs}
	fs.Float64Var(&c.typed.Tolerance, "tolerance", 0, "")
	fs.Float64Var(&c.typed.BlotchTolerance, "blotch-tolerance", 0, "")
	fs.Float64Var(&c.typed.KL, "kl", 0, "")
	fs.IntVar(&c.typed.Coats, "coats", 0, "")
	fs.StringVar(&c.blend, "blend", "", "")
	fs.Float64Var(&c.typed.DryingHours, "drying-hours", 0, "")
	fs.StringVar(&c.typed.Notes, "notes", "", "")
	return c
}

// check reads the blend and refuses numbers that mean nothing.
func (c *colourFlags) check() (err error) {
	for _, n := range []struct {
		name  string
		value float64
	}{{"tolerance", c.typed.Tolerance}, {"blotch-tolerance", c.typed.BlotchTolerance}, {"kl", c.typed.KL}, {"drying-hours", c.typed.DryingHours}} {
		if c.fs.Changed(n.name) {
			if err := aboveNought(c.fs.Name(), n.name, n.value); err != nil {
				return err
			}
		}
	}
	const most = 100 // coats: nobody has the patience
	if c.typed.Coats < 0 || c.typed.Coats > most {
		return misuse(c.fs.Name(), "--coats %d: wanted a number from 0 to %d", c.typed.Coats, most)
	}
	c.typed.Blend, err = parseBlend(c.fs.Name(), "--blend", c.blend)
	if err == nil && c.blend != "" {
		err = withDye(c.fs.Name(), "--blend", c.typed.Blend)
	}
	for _, p := range c.typed.Blend {
		if err == nil {
			err = inLists("dye", p.Dye, partsOfDye)
		}
	}
	return err
}

// apply puts what was typed into s and returns whether anything was.
func (c *colourFlags) apply(s *shadebook.Settings) (any bool) {
	set := func(name string, to func()) {
		if c.fs.Changed(name) {
			any = true
			to()
		}
	}
	set("tolerance", func() { s.Tolerance = c.typed.Tolerance })
	set("blotch-tolerance", func() { s.BlotchTolerance = c.typed.BlotchTolerance })
	set("kl", func() { s.KL = c.typed.KL })
	set("coats", func() { s.Coats = c.typed.Coats })
	set("blend", func() { s.Blend = c.typed.Blend })
	set("drying-hours", func() { s.DryingHours = c.typed.DryingHours })
	set("notes", func() { s.Notes = c.typed.Notes })
	return any
}

// mostParts is far more than anybody counts.
const mostParts = 1e6

// parseBlend reads an option DYE=PARTS,... .
func parseBlend(command, option, text string) ([]shadebook.Part, error) {
	if text == "" {
		return nil, nil
	}
	var parts []shadebook.Part
	seen := map[string]bool{}
	for _, each := range strings.Split(text, ",") {
		at := strings.LastIndex(each, "=")
		if at < 0 {
			return nil, misuse(command, "%s %s: %q is no DYE=PARTS, such as Tan=3", option, text, strings.TrimSpace(each))
		}
		dye := strings.TrimSpace(each[:at])
		n, err := strconv.ParseFloat(strings.TrimSpace(each[at+1:]), 64)
		switch {
		case strings.Contains(dye, ";") && strings.Contains(dye, "="):
			return nil, misuse(command, "%s %s: wanted commas between dyes, as in \"Tan=3,Oxblood=1,water=4\"", option, text)
		case dye == "":
			return nil, misuse(command, "%s %s: %q names no dye", option, text, strings.TrimSpace(each))
		case err != nil || !(n > 0 && n <= mostParts):
			return nil, misuse(command, "%s %s: %q is no number of parts above 0", option, text, each[at+1:])
		case seen[shadebook.Folded(dye)]:
			return nil, misuse(command, "%s %s: %s is given twice", option, text, dye)
		}
		seen[shadebook.Folded(dye)] = true
		parts = append(parts, shadebook.Part{Dye: dye, Parts: n})
	}
	return parts, nil
}

// withDye refuses a blend of nothing but water.
func withDye(command, option string, blend []shadebook.Part) error {
	if len(blends.Dyes(blend)) > 0 {
		return nil
	}
	return misuse(command, "no dye in %s: wanted DYE=PARTS,..., such as \"Tan=3,Oxblood=1,water=4\"", option)
}

func runColourAdd(args []string, stdout io.Writer) (int, error) {
	return colourSettings("colour add", colourAddUsage, withBegunBook, args, stdout,
		func(ctx context.Context, b *shadebook.Book, name string, c *colourFlags) error {
			s := shadebook.DefaultSettings()
			c.apply(&s)
			added, err := b.AddColour(ctx, name, s)
			if err == nil {
				_, err = fmt.Fprintf(stdout, "%s: added to the shade book\n  next: evenhide swatch keep PHOTO --colour NAME\n", added.Name)
			}
			return err
		})
}

func runColourChange(args []string, stdout io.Writer) (int, error) {
	return colourSettings("colour change", colourChangeUsage, withBook, args, stdout,
		func(ctx context.Context, b *shadebook.Book, name string, c *colourFlags) error {
			var before shadebook.Settings
			if !c.apply(&before) {
				return misuse("colour change", "nothing to change is given")
			}
			now, err := b.ChangeColour(ctx, name, func(s *shadebook.Settings) {
				before = *s
				c.apply(s)
			})
			if err == nil {
				_, err = fmt.Fprintf(stdout, "%s: %s\n", now.Name, report.Changes(before, now.Settings))
			}
			return err
		})
}

// colourSettings parses the arguments of a command that sets up a colour, and does it.
func colourSettings(command, usage string, with opener, args []string, stdout io.Writer,
	do func(context.Context, *shadebook.Book, string, *colourFlags) error) (int, error) {
	fs := newFlags(command)
	c, address := newColourFlags(fs), bookFlag(fs)
	if done, code, err := parse(fs, args, usage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the colour's name")
	if err == nil {
		err = c.check()
	}
	if err == nil {
		err = with(*address, func(ctx context.Context, b *shadebook.Book) error { return do(ctx, b, name, c) })
	}
	return exitOf(err), err
}
