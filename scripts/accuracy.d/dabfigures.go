package main

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
)

// runDabs measures bottle check on photos of dabs in both worlds.
func runDabs(o options) error {
	t, err := newTrial(o)
	if err != nil {
		return err
	}
	defer t.close()
	all, err := inWorlds(o, o.photos, func(j job, w world) ([]tried, error) { return t.tryDabs(j, w, o.each) })
	if err != nil {
		return err
	}
	for _, t := range worstDabs(all, o.worst) {
		fmt.Println(t.line())
	}
	var figures []figure
	for _, w := range worlds() {
		figures = append(figures, dabFigures(w, slices.DeleteFunc(slices.Clone(all), func(t tried) bool { return t.world != w }))...)
	}
	if err := printText(os.Stdout, figures); err != nil || !o.readme {
		return err
	}
	how := fmt.Sprintf("`scripts/accuracy -dyes -photos %d -seed %d -level %s -each %d -readme`, %d photos in each world",
		o.photos, o.first, o.level, o.each, o.photos*len(strings.Split(o.lights, ",")))
	section := "dyes"
	if o.each > 1 {
		section = fmt.Sprintf("dyes, %d dabs", o.each)
		how += fmt.Sprintf(", %d dabs of each bottle and of the reference", o.each)
	}
	return writeTable("README.md", section, how, figures)
}

// dabFigures works out what one world shows.
func dabFigures(w world, all []tried) (out []figure) {
	const dark = 25 // L*
	of := func(kinds ...bottleKind) (some []tried) {
		for _, t := range all {
			if t.measured() && slices.Contains(kinds, t.kind) {
				some = append(some, t)
			}
		}
		return some
	}
	name := func(text string) string { return string(w) + ": " + text }
	share := func(text string, most []float64, least float64, some []tried, so func(tried) bool) {
		f := figure{Name: name(text), Values: []float64{0}, Unit: "%", Most: most, Least: least, N: len(some)}
		for _, t := range some {
			if so(t) {
				f.Values[0] += 100 / float64(f.N)
			}
			if (most != nil || least > 0) && so(t) == (most != nil) { // a case that fails
				f.Worst = t.String()
			}
		}
		if f.N > 0 {
			out = append(out, f)
		}
	}
	strong := of(normal, thick, spread)
	for _, g := range []struct {
		text string
		most float64
		in   func(tried) bool
	}{
		{"strength of 0.6 to 1.6, L* 25 and up, error mean / 95 %", 6, func(t tried) bool { return t.lightness >= dark }},
		{"the same, darker, mean / 95 %", 12, func(t tried) bool { return t.lightness < dark }},
	} {
		if f := errors95(strong, g.in); f.N > 0 {
			f.Name, f.Most = name(g.text), []float64{math.Inf(1), g.most}
			out = append(out, f)
		}
	}
	share("interval holds the strength", []float64{99}, 93, strong, func(t tried) bool {
		return t.seen.Interval[0] <= t.strength && t.strength <= t.seen.Interval[1]
	})
	verdict := func(v string) func(tried) bool { return func(t tried) bool { return t.seen.Verdict == v } }
	light := func(some []tried) []tried {
		return slices.DeleteFunc(slices.Clone(some), func(t tried) bool { return t.lightness < dark })
	}
	notUse := func(t tried) bool { return t.seen.Verdict != "use" }
	share("15 % too strong, called thin", nil, 95, of(thick), verdict("thin"))
	share("the same, L* 25 and up", nil, 0, light(of(thick)), verdict("thin"))
	share("within 3 %, called anything but use", []float64{2}, 0, of(normal), notUse)
	share("the same, L* 25 and up", nil, 0, light(of(normal)), notUse)
	share("2 ΔE00 off in hue, called hold", nil, 95, of(offHue), verdict("hold"))
	share("the same, L* 25 and up", nil, 0, light(of(offHue)), verdict("hold"))
	share("2 ΔE00 off in hue, called use", nil, 0, of(offHue), verdict("use"))
	letDown := again(strong)
	judged := slices.DeleteFunc(slices.Clone(letDown), func(t tried) bool { return !t.measured() })
	within := func(strength float64) bool { return math.Abs(strength-1) <= .05 }
	share("thinned as advised and laid again: true strength within 5 %", nil, 95, letDown, func(t tried) bool { return within(t.strength) })
	share("of those judged again, called use", nil, 0, judged, verdict("use"))
	share("the same, called thin or shake and dab again", nil, 0, judged, func(t tried) bool { return t.seen.Verdict == "thin" || t.seen.Verdict == "shake and dab again" })
	if f := errors95(judged, func(tried) bool { return true }); f.N > 0 {
		f.Name = name("strength read again, error mean / 95 %")
		out = append(out, f)
	}
	share("thinned once more where called thin again: true strength within 5 %", nil, 0, judged, func(t tried) bool { return within(t.letDown()) })
	share("dabs judged", nil, 0, all, tried.measured)
	return out
}

// errors95 returns the mean and the 95th percentile of the error of strength in per
// cent.
func errors95(all []tried, in func(tried) bool) figure {
	f := figure{Unit: "%", Values: []float64{0, 0}}
	var errs []float64
	worst := 0.0
	for _, t := range all {
		if !in(t) {
			continue
		}
		e := 100 * math.Abs(t.seen.Strength/t.strength-1)
		errs = append(errs, e)
		f.Values[0] += e
		if e >= worst {
			worst, f.Worst = e, t.String()
		}
	}
	if f.N = len(errs); f.N == 0 {
		return f
	}
	slices.Sort(errs)
	f.Values[0] /= float64(f.N)
	f.Values[1] = errs[min(f.N*95/100, f.N-1)]
	return f
}
