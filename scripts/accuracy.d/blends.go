package main

import (
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"evenhide/calibrate/scene"
	"evenhide/colour"
)

// blendSeen is what evenhide's JSON says of a photo of dabs, as far as it is looked at.
type blendSeen struct {
	Blends []struct {
		Parts []struct {
			Dye   string
			Parts float64
		}
		DE00     float64
		Interval [2]float64
	}
}

// blended is a target and what the first proposal for it would be in truth.
type blended struct {
	job
	world    world
	dyes     []scene.Dye
	strength []float64 // of each dye's bottle
	amounts  []float64 // of each bottle in the target; the rest is water
	names    []string  // of the dabs, in the order in which they are laid
	law      float64
	seen     blendSeen // empty where the photo was refused
	away     float64   // true ΔE00 of the first proposal, on the usual hide, from the swatch that lay there
	// corrected is that of the proposal once corrected by a photo of its dab beside the
	// swatch; -1 where that photo was refused.
	corrected float64
}

func (b blended) measured() bool { return len(b.seen.Blends) > 0 }

func (b blended) String() string {
	var names []string
	for i, d := range b.dyes {
		names = append(names, fmt.Sprintf("%s %.2f", d.Name, b.amounts[i]))
	}
	return fmt.Sprintf("%s %d, %s", b.light, b.seed, strings.Join(names, ", "))
}

// blend returns a mix of the bottles, each as its share of one, and how strong it is:
// all dye in it together, which is what the law of the scene acts on.
func (b blended) blend(amounts []float64) (mix scene.Blend, strength float64) {
	for i, a := range amounts {
		strength += a * b.strength[i]
	}
	for i, a := range amounts {
		mix = append(mix, scene.Part{Dye: b.dyes[i], Amount: a * b.strength[i] / strength})
	}
	return mix, strength
}

// laidFrom is how much of what the dabs of each dye, and of equal parts of all, are laid
// from is dye.
func laidFrom() []float64 { return []float64{1, .4} }

// spill is by what share what is poured for a dab is more or less than it is said to be,
// one standard deviation: a drop in thirty (our own choice, no source).
const spill = .03

// laid draws the dabs of the sheet, and what they are said to be of. Equal parts of all
// are mixed once, and let down as the dyes are.
func (b blended) laid(d *dabScene) (of []bottle, names []string) {
	var all []string
	var equal []float64
	poured := func(share float64) float64 { return share * math.Exp(spill*d.dice.NormFloat64()) }
	lay := func(name string, amounts []float64) {
		mix, strength := b.blend(amounts)
		for _, part := range laidFrom() {
			names = append(names, fmt.Sprintf("%s:%g", name, part))
			if part < 1 {
				part = poured(part)
			}
			of = append(of, bottle{spread, part * strength, mix})
		}
	}
	for i, dye := range b.dyes {
		alone := make([]float64, len(b.dyes))
		alone[i] = 1
		all, equal = append(all, dye.Name), append(equal, poured(1/float64(len(b.dyes))))
		lay(dye.Name, alone)
	}
	lay(strings.Join(all, "+"), equal)
	return of, names
}

// tryBlend draws two or three dyes and a target mixed from them in any amounts, lays
// the target's swatch in the window and the dabs of each dye on the sheet, and has
// blends proposed.
func (st *stage) tryBlend(j job, w world) (blended, error) {
	d := st.dabScene(j, w)
	b := blended{job: j, world: w, law: d.Law}
	d.depth = 1
	sum, dye := 0.0, d.between(.35, .95)
	for _, i := range d.dice.Perm(len(scene.Dyes()))[:2+j.seed%2] {
		b.dyes = append(b.dyes, scene.Dyes()[i])
		b.strength = append(b.strength, d.between(.8, 1.5))
		b.amounts = append(b.amounts, d.between(.15, 1.15))
		sum += b.amounts[len(b.amounts)-1]
	}
	for i := range b.amounts {
		b.amounts[i] *= dye / sum
	}
	laid, names := b.laid(d)
	b.names = names
	d.Items[0].Material = scene.Leather(b.blend(b.amounts))
	d.lay(laid, 1)
	path := filepath.Join(st.dir, fmt.Sprintf("blend-%s-%s-%d.jpg", w, j.light, j.seed))
	truth, err := st.shoot(d.Scene, path)
	if err != nil {
		return b, err
	}
	if ok, err := ran(&b.seen, "blend", "propose", "--json", "--dab", b.named(truth)+"="+path); err != nil || !ok {
		return b, err
	}
	swatch := truth.Find("swatch").Dyed
	off := func(amounts []float64) float64 {
		mix, strength := b.blend(amounts)
		return colour.DeltaE2000(swatch, st.spectra.Dyed(mix, strength, b.law), colour.UnitWeights())
	}
	mix, mixed := b.mixed()
	b.away, b.corrected = off(mixed), -1
	second := filepath.Join(st.dir, fmt.Sprintf("blend-%s-%s-%d-%s.jpg", w, j.light, j.seed, strings.NewReplacer(" ", "", ",", "").Replace(mix)))
	if _, err := st.shoot(st.mixAgain(d, b, mixed), second); err != nil {
		return b, err
	}
	after, ok, err := b.correction(path, b.named(truth), second, mix, mixed)
	if ok {
		b.corrected = off(after)
	}
	return b, err
}

// mixed returns the first proposal, as --mix wants it and as each bottle's share.
func (b blended) mixed() (mix string, amounts []float64) {
	amounts = make([]float64, len(b.dyes))
	total := 0.0
	var parts []string
	for _, p := range b.seen.Blends[0].Parts {
		total += p.Parts
		parts = append(parts, fmt.Sprintf("%s=%g", p.Dye, p.Parts))
	}
	for _, p := range b.seen.Blends[0].Parts {
		if i := b.index(p.Dye); i >= 0 {
			amounts[i] = p.Parts / total
		}
	}
	return strings.Join(parts, ","), amounts
}

// index returns which dye has that name, -1 for water.
func (b blended) index(name string) int {
	return slices.IndexFunc(b.dyes, func(d scene.Dye) bool { return d.Name == name })
}

// named returns the dyes of the dabs in the photo's reading order, as a maker who
// looks at it names them.
func (b blended) named(truth scene.Truth) string {
	type dab struct {
		name              string
		x, y, top, bottom float64
	}
	var dabs []dab
	for _, it := range truth.Items {
		if it.Kind != scene.Piece {
			continue
		}
		d := dab{name: b.names[len(dabs)], top: math.Inf(1), bottom: math.Inf(-1)}
		left, right := math.Inf(1), math.Inf(-1)
		for _, p := range it.Outline {
			left, right, d.top, d.bottom = min(left, p.X), max(right, p.X), min(d.top, p.Y), max(d.bottom, p.Y)
		}
		d.x, d.y = (left+right)/2, (d.top+d.bottom)/2
		dabs = append(dabs, d)
	}
	slices.SortFunc(dabs, func(a, b dab) int { return cmp.Compare(a.y, b.y) })
	for from := 0; from < len(dabs); {
		to := from + 1
		for to < len(dabs) && dabs[to].y < dabs[from].bottom {
			to++
		}
		slices.SortFunc(dabs[from:to], func(a, b dab) int { return cmp.Compare(a.x, b.x) })
		from = to
	}
	var names []string
	for _, d := range dabs {
		names = append(names, d.name)
	}
	return strings.Join(names, ",")
}
