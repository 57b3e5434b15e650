package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"evenhide/calibrate/scene"
)

// What the checks are run with, and what counts as near enough for ΔE00.
const (
	tolerance       = 2.0
	blotchTolerance = 1.5
	nearest         = 6.0
	clear           = .7 // from the tolerance: a verdict that errs by that much is wrong
)

// pair is one piece, as it is and as it was reported.
type pair struct {
	result
	item scene.ItemTruth
	seen piece
	iou  float64 // of the outlines
}

func (p pair) de() float64    { return p.item.DyedDeltaE }
func (p pair) err() float64   { return p.seen.DE00 - p.de() }
func (p pair) measured() bool { return p.seen.Lab != nil && p.seen.Verdict != "retake" }
func (p pair) near() bool     { return p.measured() && p.de() <= nearest }
func (p pair) String() string { return fmt.Sprintf("%s %d, %s", p.light, p.seed, p.item.Name) }

// pairs matches true pieces with reported ones. A piece that was not found has an
// overlap of 0.
func (r result) pairs() []pair {
	var out []pair
	if r.photo.Error != "" {
		return nil
	}
	for _, it := range r.truth.Items {
		if it.Kind != scene.Piece {
			continue
		}
		best := pair{result: r, item: it}
		for _, seen := range r.photo.Pieces {
			if o := overlap(it.Outline, seen.Outline); o > best.iou {
				best.seen, best.iou = seen, o
			}
		}
		out = append(out, best)
	}
	return out
}

// figure is one line of the table: what was measured, one or two numbers, and
// what they may be.
type figure struct {
	Name   string
	Values []float64
	Unit   string
	Most   []float64 // nil: no limit
	Least  float64   // 0: none
	N      int
	Worst  string `json:",omitempty"`
}

// ok reports whether the figure is within its limits.
func (f figure) ok() bool {
	for i, most := range f.Most {
		if !(f.Values[i] <= most) {
			return false
		}
	}
	return !(f.Values[0] < f.Least)
}

// figures works everything out.
func (t *trial) figures() []figure {
	by := map[kind][]pair{}
	for _, r := range t.results {
		by[r.kind] = append(by[r.kind], r.pairs()...)
	}
	var out []figure
	add := func(name, unit string, most []float64, least float64, ps []pair, of func(pair) float64) {
		if mean, p95, n, worst := meanAnd95(ps, of); n > 0 {
			out = append(out, figure{name, []float64{mean, p95}, unit, most, least, n, worst})
		}
	}
	// share adds in how many of a hundred pieces something is so; the case named is
	// one that fails.
	share := func(name string, most []float64, least float64, ps []pair, so func(pair) float64) {
		_, _, _, failing := meanAnd95(ps, func(p pair) float64 {
			if least > 0 {
				return -so(p)
			}
			return so(p)
		})
		if mean, _, n, _ := meanAnd95(ps, so); n > 0 {
			if (least > 0 && mean == 100) || (least == 0 && mean == 0) {
				failing = ""
			}
			out = append(out, figure{name, []float64{mean}, "%", most, least, n, failing})
		}
	}
	wrong := func(p pair) float64 { return ifMeasured(p.near(), math.Abs(p.err())) }
	for _, light := range lights() {
		ps := slices.DeleteFunc(slices.Clone(by[inFrame]), func(p pair) bool { return p.light != light })
		add("error of ΔE00, swatch in frame, "+light+", mean / 95 %", "", []float64{.25, .7}, 0, ps, wrong)
	}
	add("error of ΔE00, stored reference, same light, mean / 95 %", "", []float64{.6, 1.6}, 0, by[sameLight], wrong)
	add("error of ΔE00, stored reference, other light, mean / 95 %", "", nil, 0, by[otherLight], wrong)
	for _, k := range []kind{inFrame, sameLight, otherLight} {
		share("interval holds the truth, "+string(k), []float64{99}, 93, by[k], covered)
	}
	share(fmt.Sprintf("true ΔE00 from %.1f up, yet ship", tolerance+clear), []float64{1}, 0, by[inFrame], wronglyShipped)
	share(fmt.Sprintf("true ΔE00 up to %.1f, yet hold or another coat", tolerance-clear), []float64{2}, 0, by[inFrame], wronglyHeld)
	add("RMS blotch of even pieces, light 30 % uneven, mean / 95 %", "", []float64{.3}, 0, by[even], evenBlotch)
	add("relative error of a blotch of 1 to 4, mean / 95 %", "%", []float64{15}, 0, by[inFrame], blotchError)
	add("direction of clear streaks, mean / 95 %", "°", []float64{5}, 0, by[inFrame], streakError)
	share("pieces without streaks called streaky", nil, 0, by[inFrame], falseStreaks)
	share("pieces whose outline overlaps the true one by 0.9", nil, 95, by[inFrame], func(p pair) float64 { return percent(p.iou >= .9) })
	out = append(out, t.found(), t.judged())
	return out
}

// found is in how many photos the card was found, of those that show it large and
// sharp enough, all misreadings counted as lost.
func (t *trial) found() figure {
	f := figure{Name: "photos whose card was found", Unit: "%", Least: 99, Values: []float64{0}}
	for _, r := range t.results {
		if r.kind != inFrame {
			continue
		}
		f.N++
		if r.photo.Card != nil && r.photo.Card.Serial == serial {
			f.Values[0]++
		} else {
			f.Worst = fmt.Sprintf("%s %d", r.light, r.seed)
		}
	}
	f.Values[0] *= 100 / float64(f.N)
	return f
}

// judged is how many pieces of all photos got a verdict other than retake. No aim:
// photos with a shadow's edge across them should not be judged.
func (t *trial) judged() figure {
	f := figure{Name: "pieces judged", Unit: "%", Values: []float64{0}}
	for _, r := range t.results {
		if r.kind != inFrame {
			continue
		}
		for _, it := range r.truth.Items {
			if it.Kind == scene.Piece {
				f.N++
			}
		}
		for _, p := range r.pairs() {
			if p.measured() {
				f.Values[0]++
			}
		}
	}
	f.Values[0] *= 100 / float64(f.N)
	return f
}

func ifMeasured(ok bool, v float64) float64 {
	if !ok {
		return math.NaN()
	}
	return v
}

func percent(yes bool) float64 {
	if yes {
		return 100
	}
	return 0
}

func covered(p pair) float64 {
	return ifMeasured(p.near(), percent(p.seen.Interval[0] <= p.de() && p.de() <= p.seen.Interval[1]))
}

func wronglyShipped(p pair) float64 {
	return ifMeasured(p.measured() && p.de() >= tolerance+clear, percent(p.seen.Verdict == "ship"))
}

// wronglyHeld looks at what is condemned for its colour: a blotchy piece is held
// for another reason.
func wronglyHeld(p pair) float64 {
	const sure = .8 // of the tolerance: below it blotch is no reason
	return ifMeasured(p.measured() && p.de() <= tolerance-clear && p.seen.Blotch.RMS <= sure*blotchTolerance,
		percent(p.seen.Verdict == "hold" || p.seen.Verdict == "another coat"))
}

func evenBlotch(p pair) float64 {
	return ifMeasured(p.measured() && p.item.Patchy <= .2, p.seen.Blotch.RMS)
}

func blotchError(p pair) float64 {
	return ifMeasured(p.measured() && p.item.Patchy >= 1 && p.item.Patchy <= 4, 100*math.Abs(p.seen.Blotch.RMS/p.item.Patchy-1))
}

// streakError looks at streaks that stand out and were called so.
func streakError(p pair) float64 {
	turned := math.Abs(math.Mod(p.seen.Blotch.StreakDeg-p.item.StreakAngle+270, 180) - 90)
	return ifMeasured(p.measured() && p.item.Streak >= 1 && p.item.Blotch <= p.item.Streak/2 && p.seen.Blotch.Streaky, turned)
}

func falseStreaks(p pair) float64 {
	return ifMeasured(p.measured() && p.item.Streak == 0, percent(p.seen.Blotch.Streaky))
}

// meanAnd95 returns the mean and the 95th percentile of what of gives, NaN left
// out, how many there were and where it is largest.
func meanAnd95(ps []pair, of func(pair) float64) (mean, p95 float64, n int, worst string) {
	var all []float64
	most := math.Inf(-1)
	for _, p := range ps {
		v := of(p)
		if math.IsNaN(v) {
			continue
		}
		all = append(all, v)
		mean += v
		if v > most {
			most, worst = v, p.String()
		}
	}
	if len(all) == 0 {
		return math.NaN(), math.NaN(), 0, ""
	}
	slices.Sort(all)
	return mean / float64(len(all)), all[min(len(all)*95/100, len(all)-1)], len(all), worst
}

// printWorst lists the pieces with the largest errors.
func (t *trial) printWorst(w io.Writer, n int) {
	for _, k := range []kind{inFrame, sameLight} {
		var ps []pair
		for _, r := range t.results {
			if r.kind == k {
				ps = append(ps, slices.DeleteFunc(r.pairs(), func(p pair) bool { return !p.near() })...)
			}
		}
		slices.SortFunc(ps, func(a, b pair) int { return int(math.Copysign(1, math.Abs(b.err())-math.Abs(a.err()))) })
		for _, p := range ps[:min(n, len(ps))] {
			fmt.Fprintf(w, "%s: %s true %.2f seen %.2f [%.2f %.2f] truth %.1f seen %.1f %s\n", k, p, p.de(), p.seen.DE00,
				p.seen.Interval[0], p.seen.Interval[1], p.item.Dyed, *p.seen.Lab, p.seen.Verdict)
		}
	}
}

// printRefused counts what was not judged, by its reason.
func (t *trial) printRefused(w io.Writer) {
	reasons := map[string]int{}
	for _, r := range t.results {
		if r.kind != inFrame {
			continue
		}
		if _, why, refused := strings.Cut(r.photo.Error, ": "); refused {
			reasons["photo: "+why]++
		}
		for _, p := range r.photo.Pieces {
			if p.Verdict == "retake" {
				reasons["piece: "+digits(p.Reasons[0])]++
			}
		}
	}
	for why, n := range reasons {
		fmt.Fprintf(w, "%4d %s\n", n, why)
	}
}

// digits returns a reason with its numbers struck out, so that like ones count
// together.
func digits(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return '#'
		}
		return r
	}, s)
}
