package main

import (
	"context"
	"io"

	"evenhide/cmd/internal/bottles"
	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
)

const bottleShowUsage = `evenhide bottle show NAME [--json]
evenhide bottle show --dye DYE [--json]

Shows a bottle of the shade book: its dye, its checks, whether its strength falls for
sure, its ladder, its dabs for blends. With --dye instead of a name, all bottles of a dye.

A fall is told along the line through the checks since the last that said to thin the
bottle, when it is larger than their intervals, and from three checks on their scatter
about that line, leave open.

  --dye DYE                as evenhide bottle add was told it
` + listOptions

func runBottleShow(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("bottle show")
	dye, address, asJSON := fs.String("dye", "", ""), bookFlag(fs), jsonFlag(fs)
	if done, code, err := parse(fs, args, bottleShowUsage, stdout); done {
		return code, err
	}
	var name string
	var err error
	switch {
	case !fs.Changed("dye"):
		name, err = oneName(fs, "the bottle's name, or --dye DYE,")
	case *dye == "":
		err = misuse(fs.Name(), "--dye: the dye has no name")
	default:
		err = noNames(fs)
	}
	if err == nil {
		err = withBook(*address, func(ctx context.Context, b *shadebook.Book) error {
			var shown report.Listed
			var err error
			if fs.Changed("dye") {
				shown, err = bottles.ShowDye(ctx, b, *dye)
			} else {
				shown, err = bottles.Show(ctx, b, name)
			}
			if err != nil {
				return err
			}
			return printListed(stdout, shown, *asJSON)
		})
	}
	return exitOf(err), err
}
