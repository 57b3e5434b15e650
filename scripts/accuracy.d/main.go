// Command accuracy.d measures how true evenhide's numbers are on rendered photos
// whose truth comes from spectra; scripts/accuracy runs it.
package main

import (
	"flag"
	"fmt"
	"os"
	"strings"

	"evenhide/calibrate/scene"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "accuracy:", err)
		os.Exit(1)
	}
}

// options are the command line.
type options struct {
	photos, first, worst int
	each                 int
	level, keep, lights  string
	slice, update        bool
	readme, dyes, coats  bool
	blends               bool
}

func run(args []string) error {
	var o options
	fs := flag.NewFlagSet("accuracy", flag.ContinueOnError)
	fs.IntVar(&o.photos, "photos", 50, "photos in each light")
	fs.IntVar(&o.first, "seed", 1, "seed of the first")
	fs.StringVar(&o.level, "level", "hard", "calm, usual or hard")
	fs.StringVar(&o.lights, "lights", strings.Join(lights(), ","), "the lights")
	fs.StringVar(&o.keep, "keep", "", "folder to keep the photos in, and to take them from when they are there")
	fs.IntVar(&o.worst, "worst", 0, "list that many of the worst pieces, bottles or blends")
	fs.BoolVar(&o.slice, "slice", false, "the small run of CI, held to what it gave when it was recorded")
	fs.BoolVar(&o.update, "update", false, "with -slice: record what it gives now")
	fs.BoolVar(&o.readme, "readme", false, "write the table into the README")
	fs.BoolVar(&o.dyes, "dyes", false, "photos of dabs, for the strength of bottles")
	fs.BoolVar(&o.coats, "coats", false, "photos of pieces after each coat, for the forecast of coats")
	fs.BoolVar(&o.blends, "blends", false, "photos of dabs of several dyes, for blends")
	fs.IntVar(&o.each, "each", 1, "with -dyes: dabs of each bottle")
	if err := fs.Parse(args); err != nil {
		return err
	}
	if o.slice {
		o.photos, o.first, o.level, o.lights = 5, 1, "hard", scene.D65+","+scene.CoolWhite
	}
	switch {
	case o.dyes:
		return runDabs(o)
	case o.coats:
		return runCoats(o)
	case o.blends:
		return runBlends(o)
	}
	t, err := newTrial(o)
	if err != nil {
		return err
	}
	defer t.close()
	if err := t.all(strings.Split(o.lights, ","), o.photos, o.first); err != nil {
		return err
	}
	if o.worst > 0 {
		t.printWorst(os.Stdout, o.worst)
	}
	figures := t.figures()
	if err := printText(os.Stdout, figures); err != nil {
		return err
	}
	t.printRefused(os.Stdout)
	switch {
	case o.slice:
		return compare("scripts/accuracy.d/slice.json", figures, o.update)
	case o.readme:
		return writeTable("README.md", "accuracy", fmt.Sprintf("`scripts/accuracy -photos %d -seed %d -level %s -readme`, %d photos",
			o.photos, o.first, o.level, o.photos*len(strings.Split(o.lights, ","))), figures)
	}
	return nil
}

// lights are those the figures are given for, one of each kind.
func lights() []string {
	return []string{scene.D65, scene.D50, scene.NeutralLED, scene.WarmLED, scene.CoolWhite, scene.Tungsten}
}
