package main

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"sync/atomic"
)

// photosOfLot are those that a lot takes when none is refused.
const photosOfLot = readCoats + oldCoats

// runCoats measures coat next on photos of pieces after each coat in both worlds.
func runCoats(o options) error {
	t, err := newTrial(o)
	if err != nil {
		return err
	}
	defer t.close()
	var photos atomic.Int64
	lots := (o.photos + photosOfLot - 1) / photosOfLot
	all, err := inWorlds(o, lots, func(j job, w world) ([]forecast, error) { return t.tryLot(t.lotOf(j, w), &photos) })
	if err != nil {
		return err
	}
	if o.worst > 0 {
		printForecasts(os.Stdout, all)
	}
	var figures []figure
	for _, w := range worlds() {
		for _, k := range []known{nothing, usualCoats, earlierLot} {
			some := slices.DeleteFunc(slices.Clone(all), func(f forecast) bool { return f.lot.world != w || f.known != k })
			figures = append(figures, coatFigures(w, k, some)...)
		}
	}
	if err := printText(os.Stdout, figures); err != nil {
		return err
	}
	how := fmt.Sprintf("`scripts/accuracy -coats -photos %d -seed %d -level %s -readme`, %d lots in each world, %d photos in all", o.photos, o.first, o.level, lots*len(strings.Split(o.lights, ",")), photos.Load())
	fmt.Println(how)
	if !o.readme {
		return nil
	}
	return writeTable("README.md", "coats", how, figures)
}

// coatFigures works out what one world shows, with so much known.
func coatFigures(w world, k known, all []forecast) (out []figure) {
	made := slices.DeleteFunc(slices.Clone(all), func(f forecast) bool { return !f.made })
	share := func(text string, least float64, of []forecast, so func(forecast) bool) {
		f := figure{Name: fmt.Sprintf("%s, %s: %s", w, k, text), Values: []float64{0}, Unit: "%", Least: least, N: len(of)}
		for _, x := range of {
			if so(x) {
				f.Values[0] += 100 / float64(f.N)
			} else {
				f.Worst = x.String()
			}
		}
		if f.N > 0 {
			out = append(out, f)
		}
	}
	within := func(n int) func(forecast) bool {
		return func(f forecast) bool { return f.said-f.truth <= n && f.truth-f.said <= n }
	}
	share("coats left within one of the truth", 90, made, within(1))
	if w == proportional {
		thin := func(f forecast) bool { return f.lot.full < 1 }
		share("the same, of mixes that are not too thin", 0, slices.DeleteFunc(slices.Clone(made), thin), within(1))
		share("the same, of those that are", 0, slices.DeleteFunc(slices.Clone(made), func(f forecast) bool { return !thin(f) }), within(1))
	}
	share("coats left right", 0, made, within(0))
	share("range holds the truth", 90, made, func(f forecast) bool { return f.least <= f.truth && f.truth <= f.most })
	if k == nothing {
		share("pieces forecast", 0, all, func(f forecast) bool { return f.made })
	}
	return out
}
