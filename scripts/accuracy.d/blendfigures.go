package main

import (
	"cmp"
	"fmt"
	"os"
	"slices"
	"strings"

	"evenhide/calibrate/scene"
)

// runBlends measures blend propose on photos of dabs in both worlds.
func runBlends(o options) error {
	t, err := newTrial(o)
	if err != nil {
		return err
	}
	defer t.close()
	lights := strings.Split(o.lights, ",")
	all, err := inWorlds(o, o.photos, func(j job, w world) ([]blended, error) {
		j.seed += (j.seed - uint64(o.first)) / uint64(len(lights)) % 2 // as many of two dyes as of three in each light
		b, err := t.tryBlend(j, w)
		return []blended{b}, err
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(all, func(a, b blended) int { return cmp.Compare(b.away, a.away) }) // the worst first
	for _, b := range all[:min(o.worst, len(all))] {
		fmt.Printf("%.2f, corrected %.2f, %s %v: %+v\n", b.away, b.corrected, b.world, b, b.seen.Blends)
	}
	var figures []figure
	for _, w := range worlds() {
		figures = append(figures, blendFigures(w, slices.DeleteFunc(slices.Clone(all), func(b blended) bool { return b.world != w }))...)
	}
	if err := printText(os.Stdout, figures); err != nil || !o.readme {
		return err
	}
	how := fmt.Sprintf("`scripts/accuracy -blends -photos %d -seed %d -level %s -readme`, %d photos in each world", o.photos, o.first, o.level, o.photos*len(lights))
	return writeTable("README.md", "blends", how, figures)
}

// blendFigures works out what one world shows; all has the worst first.
func blendFigures(w world, all []blended) []figure {
	seen := slices.DeleteFunc(slices.Clone(all), func(b blended) bool { return !b.measured() })
	share := func(name string, least float64, most []float64, of []blended, so func(blended) bool) figure {
		f := figure{Name: string(w) + ": " + name, Values: []float64{0}, Unit: "%", Least: least, Most: most, N: len(of)}
		for _, b := range of {
			if so(b) {
				f.Values[0] += 100 / float64(f.N)
			} else if f.Worst == "" {
				f.Worst = b.String()
			}
		}
		return f
	}
	dyes := func(n int) []blended {
		return slices.DeleteFunc(slices.Clone(seen), func(b blended) bool { return len(b.dyes) != n })
	}
	near := func(b blended) bool { return b.away <= 1 }
	away := figure{Name: string(w) + ": the same, mean / 90 %", Values: []float64{0, 0}, N: len(seen)}
	for i, b := range seen {
		away.Values[0] += b.away / float64(len(seen))
		if i == len(seen)/10 {
			away.Values[1] = b.away
		}
	}
	daylight := slices.DeleteFunc(slices.Clone(seen), func(b blended) bool { return b.light != scene.D65 && b.light != scene.D50 })
	corrected := slices.DeleteFunc(slices.Clone(seen), func(b blended) bool { return b.corrected < 0 })
	return []figure{
		share("true ΔE00 of the first proposal at most 1.0", 90, nil, seen, near), away,
		share("of two dyes, at most 1.0", 0, nil, dyes(2), near),
		share("of three dyes, at most 1.0", 0, nil, dyes(3), near),
		share("in daylight, at most 1.0", 0, nil, daylight, near),
		share("corrected once by a dab, at most 1.0", 0, nil, corrected, func(b blended) bool { return b.corrected <= 1 }),
		share("range holds the true ΔE00", 93, []float64{99}, seen, func(b blended) bool {
			r := b.seen.Blends[0].Interval
			return r[0] <= b.away && b.away <= r[1]
		}),
		share("photos judged", 0, nil, all, blended.measured),
	}
}
