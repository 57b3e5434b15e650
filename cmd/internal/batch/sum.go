package batch

import (
	"cmp"
	"path/filepath"
	"slices"
	"strings"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Sum sums up what a batch holds: its verdicts, how well its pieces match each
// other, lots within limit (ΔE00), and what to do next. It depends on what was checked,
// not on when or in which order.
func Sum(held shadebook.BatchResult, verdicts []shadebook.Verdicts, limit float64, w colour.Weights) report.Batch {
	out := report.Batch{Version: report.Version, Name: held.Batch.Name, Colour: held.Batch.Colour, State: held.Batch.State,
		Decisions: report.NewDecisions(held.Decisions), Dropped: report.NewDropped(held.Dropped), Photos: len(held.Checks), Count: map[string]int{},
		NotJudged: []report.NotJudged{}, Pieces: []report.BatchPiece{}, LotLimit: limit, Lots: [][]string{}}
	for _, v := range report.Verdicts() {
		out.Count[string(v)] = 0
	}
	checks := slices.Clone(held.Checks)
	slices.SortFunc(checks, func(a, b shadebook.Check) int {
		return cmp.Or(cmp.Compare(filepath.Base(a.Photo.File), filepath.Base(b.Photo.File)), cmp.Compare(a.Photo.SHA256, b.Photo.SHA256))
	})
	names, of := photoNames(checks), map[int64]shadebook.Verdicts{}
	for _, v := range verdicts {
		of[v.Check] = v
	}
	for i := range checks {
		c := &checks[i]
		v := of[c.ID]
		if v.Why != "" {
			out.NotJudged = append(out.NotJudged, report.NotJudged{Photo: names[i], Why: v.Why})
		}
		c.Pieces = counted(*c, v)
		for _, p := range c.Pieces {
			out.Count[p.Verdict]++
			out.Pieces = append(out.Pieces, piece(p, names[i]))
		}
	}
	figures(&out, readings(checks), w)
	out.Next = next(out)
	return out
}

// photoNames returns what each check's photo is called: its file, marked where
// several photos of the batch have the same name.
func photoNames(checks []shadebook.Check) (names []string) {
	var photos []shadebook.PhotoFile
	for _, c := range checks {
		photos = append(photos, c.Photo)
	}
	labels := labels(photos)
	for _, p := range photos {
		name := labels[p.SHA256]
		if ending := filepath.Ext(p.File); !strings.HasSuffix(name, ending) {
			name += ending
		}
		names = append(names, name)
	}
	return names
}

// piece returns a piece as it is reported; where it stands among the others comes
// later.
func piece(p shadebook.Judged, photo string) report.BatchPiece {
	out := report.BatchPiece{Name: p.Name, Photo: photo, Verdict: p.Verdict}
	if m := p.Measured; m != nil {
		out.DE00, out.Interval, out.Blotch, out.Strength = &m.DE00, &m.Interval, &m.Blotch, m.Strength
	}
	return out
}

// figures fills in how well the pieces match each other.
func figures(out *report.Batch, all []reading, w colour.Weights) {
	if len(all) == 0 {
		return
	}
	samples, ship := samples(all)
	mean, spread := tolerance.Spread(samples, w)
	triple := report.Triple(mean)
	out.Mean, out.Spread = &triple, spread
	out.Furthest, out.Shipping = furthest(all, w), furthest(ship, w)
	lots := map[string]int{}
	for i, lot := range tolerance.Lots(samples, out.LotLimit, w) {
		var names []string
		for _, k := range lot {
			names = append(names, samples[k].Name)
			lots[samples[k].Name] = i + 1
		}
		out.Lots = append(out.Lots, names)
	}
	at := map[string][3]float64{}
	for _, r := range all {
		at[r.name] = report.Triple(r.Lab)
	}
	for i := range out.Pieces {
		p := &out.Pieces[i]
		if lab, measured := at[p.Name]; measured {
			p.Lab, p.Lot = &lab, lots[p.Name]
		}
	}
}

func samples(all []reading) (samples []tolerance.Sample, ship []reading) {
	for _, r := range all {
		samples = append(samples, tolerance.Sample{Name: r.name, Lab: r.Lab})
		if r.ships {
			ship = append(ship, r)
		}
	}
	return samples, ship
}
