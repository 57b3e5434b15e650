package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenhide/calibrate/scene"
)

// kind is where the reference came from.
type kind string

const (
	inFrame    kind = "in frame"
	sameLight  kind = "same light"
	otherLight kind = "other light"
)

// result is what one check made of one photo.
type result struct {
	job
	kind  kind
	truth scene.Truth
	photo photo
}

// tolerance is what the checks were run with.
const tolerance = 2.0

// pair is one piece, as it is and as it was reported.
type pair struct {
	result
	item scene.ItemTruth
	seen piece
	de   float64 // true
}

func (p pair) err() float64   { return p.seen.DE00 - p.de }
func (p pair) name() string   { return fmt.Sprintf("%s seed %d, %s", p.light, p.seed, p.item.Name) }
func (p pair) measured() bool { return p.seen.Lab != nil && p.seen.Verdict != "retake" }

// pairs matches reported pieces with true ones.
func (r result) pairs(given bool) []pair {
	var out []pair
	for _, seen := range r.photo.Pieces {
		if given {
			i, err := strconv.Atoi(seen.Name)
			if err != nil {
				continue
			}
			it := r.truth.Items[i]
			out = append(out, pair{r, it, seen, it.BoxDeltaE})
			continue
		}
		best, most := -1, 0.0
		for i, it := range r.truth.Items {
			if it.Kind == scene.Piece {
				if o := overlap(it.Outline, seen.Outline); o > most {
					best, most = i, o
				}
			}
		}
		if best >= 0 && most > .5 {
			it := r.truth.Items[best]
			out = append(out, pair{r, it, seen, it.DeltaE})
		}
	}
	return out
}

// table is the figures, a line each.
type table struct{ rows []row }

type row struct {
	name, figure, most, n, worst string
}

func (t table) print(w io.Writer) error {
	width := [5]int{}
	rows := append([]row{{"figure", "measured", "at most", "over", "worst case"}}, t.rows...)
	for _, r := range rows {
		for i, c := range r.cells() {
			width[i] = max(width[i], len([]rune(c)))
		}
	}
	for _, r := range rows {
		var line strings.Builder
		for i, c := range r.cells() {
			line.WriteString(c + strings.Repeat(" ", width[i]-len([]rune(c))+2))
		}
		if _, err := fmt.Fprintln(w, strings.TrimRight(line.String(), " ")); err != nil {
			return err
		}
	}
	return nil
}

func (r row) cells() [5]string { return [5]string{r.name, r.figure, r.most, r.n, r.worst} }

// table works the figures out.
func (t *trial) table() table {
	var out table
	byKind := map[kind][]pair{}
	refused := map[kind]int{}
	count := map[kind]int{}
	reasons := map[string]int{}
	for _, r := range t.results {
		count[r.kind]++
		if r.photo.Error != "" {
			refused[r.kind]++
			if r.kind == inFrame {
				_, why, _ := strings.Cut(r.photo.Error, ": ")
				reasons[why]++
			}
		}
		byKind[r.kind] = append(byKind[r.kind], r.pairs(t.given)...)
	}
	for _, light := range lights() {
		ps := slices.DeleteFunc(near(byKind[inFrame]), func(p pair) bool { return p.light != light })
		out.add("in frame, "+light+": error of ΔE00, mean / 95 %", "0.25 / 0.7", ps, errors2)
	}
	out.add("stored, same light: error, mean / 95 %", "0.6 / 1.6", near(byKind[sameLight]), errors2)
	out.add("stored, other light: error, mean / 95 %", "", near(byKind[otherLight]), errors2)
	for _, k := range []kind{inFrame, sameLight, otherLight} {
		out.add("interval covers the truth, "+string(k), "93–99 %", near(byKind[k]), coverage)
	}
	out.add("true ≥ tolerance + 0.7 yet ship", "1 %", byKind[inFrame], falseShip)
	out.add("true ≤ tolerance - 0.7 yet hold or another coat", "2 %", byKind[inFrame], falseHold)
	out.add("bias of ΔE00", "", near(byKind[inFrame]), bias)
	out.add("known blotch 1–4: relative error, mean / 95 %", "15 %", byKind[inFrame], blotch)
	out.add("streak direction, clear streaks: mean / 95 %", "5°", byKind[inFrame], streaks)
	for _, k := range []kind{inFrame, sameLight, otherLight} {
		out.rows = append(out.rows, row{name: "photos refused, " + string(k), figure: fmt.Sprint(refused[k]), n: fmt.Sprint(count[k])})
	}
	total, retake := len(byKind[inFrame]), 0
	for _, p := range byKind[inFrame] {
		if p.seen.Verdict == "retake" {
			retake++
			for _, why := range p.seen.Reasons {
				reasons["piece: "+why]++
			}
		}
	}
	out.rows = append(out.rows, row{name: "pieces to retake", figure: fmt.Sprint(retake), n: fmt.Sprint(total)})
	for why, n := range reasons {
		out.rows = append(out.rows, row{name: "  " + why, figure: fmt.Sprint(n)})
	}
	return out
}

// near returns the pairs that are measured and near enough to be judged in ΔE00.
func near(ps []pair) []pair {
	return slices.DeleteFunc(slices.Clone(ps), func(p pair) bool { return p.de > 6 || !p.measured() })
}

// add adds a line with what figure makes of the pairs.
func (t *table) add(name, most string, ps []pair, figure func([]pair) (string, int, *pair)) {
	text, n, worst := figure(ps)
	r := row{name: name, figure: text, most: most, n: fmt.Sprint(n)}
	if worst != nil {
		r.worst = worst.name()
	}
	t.rows = append(t.rows, r)
}

// meanAnd95 returns the mean and the 95th percentile of what of gives, NaN left
// out, and the pair where it is largest.
func meanAnd95(ps []pair, of func(pair) float64) (mean, p95 float64, n int, worst *pair) {
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
			most, worst = v, &p
		}
	}
	if len(all) == 0 {
		return math.NaN(), math.NaN(), 0, nil
	}
	slices.Sort(all)
	return mean / float64(len(all)), all[min(len(all)*95/100, len(all)-1)], len(all), worst
}

func errors2(ps []pair) (string, int, *pair) {
	mean, p95, n, worst := meanAnd95(ps, func(p pair) float64 { return math.Abs(p.err()) })
	return fmt.Sprintf("%.2f / %.2f", mean, p95), n, worst
}

func bias(ps []pair) (string, int, *pair) {
	mean, _, n, _ := meanAnd95(ps, func(p pair) float64 { return p.err() })
	return fmt.Sprintf("%+.2f", mean), n, nil
}

func coverage(ps []pair) (string, int, *pair) {
	mean, _, n, worst := meanAnd95(ps, func(p pair) float64 {
		if p.seen.Interval[0] <= p.de && p.de <= p.seen.Interval[1] {
			return 0
		}
		return 1
	})
	return fmt.Sprintf("%.1f %%", 100*(1-mean)), n, worst
}

func share(ps []pair, counts func(pair) bool, bad func(pair) bool) (string, int, *pair) {
	mean, _, n, worst := meanAnd95(ps, func(p pair) float64 {
		switch {
		case !counts(p) || !p.measured():
			return math.NaN()
		case bad(p):
			return 1
		}
		return 0
	})
	if mean == 0 {
		worst = nil
	}
	return fmt.Sprintf("%.1f %%", 100*mean), n, worst
}

func falseShip(ps []pair) (string, int, *pair) {
	return share(ps, func(p pair) bool { return p.de >= tolerance+.7 }, func(p pair) bool { return p.seen.Verdict == "ship" })
}

// falseHold counts what is condemned for its colour: a blotchy piece is held for
// another reason.
func falseHold(ps []pair) (string, int, *pair) {
	return share(ps, func(p pair) bool { return p.de <= tolerance-.7 && p.seen.Blotch.RMS < 1.35 },
		func(p pair) bool { return p.seen.Verdict == "hold" || p.seen.Verdict == "another coat" })
}

// blotch compares the RMS with all that is uneven on the piece.
func blotch(ps []pair) (string, int, *pair) {
	mean, p95, n, worst := meanAnd95(ps, func(p pair) float64 {
		if !p.measured() || p.item.Blotch < 1 || p.item.Blotch > 4 {
			return math.NaN()
		}
		return math.Abs(p.seen.Blotch.RMS/unevenness(p.item) - 1)
	})
	return fmt.Sprintf("%.0f / %.0f %%", 100*mean, 100*p95), n, worst
}

// unevenness is the RMS of what is no grain and no slope.
func unevenness(it scene.ItemTruth) float64 {
	return math.Sqrt(it.Blotch*it.Blotch + it.Streak*it.Streak + it.Hide*it.Hide)
}

func streaks(ps []pair) (string, int, *pair) {
	mean, p95, n, worst := meanAnd95(ps, func(p pair) float64 {
		if !p.measured() || p.item.Streak < 1 || p.item.Blotch > p.item.Streak/2 || !p.seen.Blotch.Streaky {
			return math.NaN()
		}
		d := math.Abs(math.Mod(p.seen.Blotch.StreakDeg-p.item.StreakAngle+270, 180) - 90)
		return d
	})
	return fmt.Sprintf("%.1f / %.1f°", mean, p95), n, worst
}

// worstOf prints the pairs with the largest errors.
func worstOf(w io.Writer, ps []pair, n int) {
	slices.SortFunc(ps, func(a, b pair) int {
		if math.Abs(a.err()) > math.Abs(b.err()) {
			return -1
		}
		return 1
	})
	for _, p := range ps[:min(n, len(ps))] {
		fmt.Fprintf(w, "%-28s true %.2f seen %.2f ± %.2f [%.2f %.2f] truth %.1f seen %.1f %s\n", p.name(), p.de, p.seen.DE00, p.seen.U, p.seen.Interval[0], p.seen.Interval[1], p.item.BoxLab, *p.seen.Lab, p.seen.Verdict)
	}
}
