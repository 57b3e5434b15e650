package main

import (
	"context"
	"io"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

const colourListUsage = `evenhide colour list [--json]

Lists the colours of the shade book by name.

` + listOptions

const colourShowUsage = `evenhide colour show NAME [options]

Shows how a colour is made and judged, its newest recipe, its swatch, the swatches
before it, its latest checks and every change of its settings.

  --checks 10              how many of the latest checks to show
` + listOptions

// listOptions are those of every list and show.
const listOptions = `  --json                   print it as JSON
` + bookUsage

func runColourList(args []string, stdout io.Writer) (int, error) {
	return list("colour list", colourListUsage, args, stdout, func(ctx context.Context, b *shadebook.Book) (report.Listed, error) {
		colours, err := b.Colours(ctx)
		return report.NewColours(colours), err
	})
}

func runColourShow(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("colour show")
	address, asJSON := bookFlag(fs), jsonFlag(fs)
	latest := fs.Int("checks", 10, "")
	if done, code, err := parse(fs, args, colourShowUsage, stdout); done {
		return code, err
	}
	name, err := oneName(fs, "the colour's name")
	const most = 1000
	if err == nil && (*latest < 0 || *latest > most) {
		err = misuse(fs.Name(), "--checks %d: wanted a number from 0 to %d", *latest, most)
	}
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			s, err := b.ColourSummary(ctx, name, *latest)
			if err != nil {
				return err
			}
			recipes, err := b.Recipes(ctx, name)
			if err != nil {
				return err
			}
			return printListed(stdout, report.NewColourShown(s, recipes), *asJSON)
		})
	}
	return exitOf(err), err
}

// list is a command that lists one kind of record.
func list(command, usage string, args []string, stdout io.Writer, get func(context.Context, *shadebook.Book) (report.Listed, error)) (int, error) {
	fs := newFlags(command)
	address, asJSON := bookFlag(fs), jsonFlag(fs)
	if done, code, err := parse(fs, args, usage, stdout); done {
		return code, err
	}
	err := noNames(fs)
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			l, err := get(ctx, b)
			if err != nil {
				return err
			}
			return printListed(stdout, l, *asJSON)
		})
	}
	return exitOf(err), err
}

func printListed(stdout io.Writer, l report.Listed, asJSON bool) error {
	if asJSON {
		return report.WriteJSON(stdout, l)
	}
	return l.WriteText(stdout)
}
