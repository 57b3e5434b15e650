package scene

import (
	"math"

	"evenhide/colour"
)

// Material is what an item is made of. Its zero value is a perfect white.
type Material struct {
	kind     materialKind
	blend    Blend
	strength float64
	lab      colour.Lab
}

type materialKind int

const (
	perfectWhite materialKind = iota
	plain
	leather
	ink
)

// Plain returns a material of one colour, given in CIELAB under D65, with a
// smooth spectrum: paper, card, a printed grey, thread, metal. Chroma above
// about 30 cannot be had.
func Plain(c colour.Lab) Material { return Material{kind: plain, lab: c} }

// Leather returns the hide dyed with a blend at a strength: 1 the full depth of
// the blend's dyes, 0 bare. It is Kubelka-Munk: the K/S of the hide plus
// strength times that of the blend.
func Leather(b Blend, strength float64) Material {
	return Material{kind: leather, blend: b, strength: strength}
}

// BareHide returns the undyed leather.
func BareHide() Material { return Leather(nil, 0) }

// inkOn returns the material of a printed layer: position 0 full ink, 1 bare
// paper of the colour given.
func inkOn(paper colour.Lab) Material { return Material{kind: ink, lab: paper} }

// A table spans factors 0..maxFactor of the nominal strength and, for the hide
// beneath, factors exp(±maxHide) of its K/S. The steps are fine enough that
// interpolating between them errs by less than 0.01 L*.
const (
	maxFactor   = 3.0
	factorSteps = 192
	maxHide     = 0.6
	hideSteps   = 12
)

// cell is a reflectance as the camera sees it (white-balanced, before its
// matrix) and as the observer does under D65.
type cell struct{ raw, xyz [3]float32 }

// table holds a material's cells over strength (fast) and hide (slow).
type table struct {
	nF, nH int
	cells  []cell
}

// at returns the cell at a factor of the nominal strength (0..maxFactor) and a
// log factor of the hide's K/S (±maxHide), both clamped, interpolated linearly.
func (t *table) at(factor, hide float64) cell {
	if len(t.cells) == 1 {
		return t.cells[0]
	}
	i, u := place(factor/maxFactor, t.nF)
	if t.nH == 1 {
		return mix(t.cells[i], t.cells[i+1], u)
	}
	j, v := place((hide+maxHide)/(2*maxHide), t.nH)
	row, next := t.cells[j*t.nF:], t.cells[(j+1)*t.nF:]
	if t.nF == 1 {
		return mix(row[0], next[0], v)
	}
	return mix(mix(row[i], row[i+1], u), mix(next[i], next[i+1], u), v)
}

// place returns the node below t, 0..1, of n nodes, and how far t lies beyond it.
func place(t float64, n int) (int, float32) {
	if n < 2 || !(t > 0) {
		return 0, 0
	}
	x := min(t, 1) * float64(n-1)
	i := min(int(x), n-2)
	return i, float32(x - float64(i))
}

func mix(a, b cell, t float32) cell {
	for c := range a.raw {
		a.raw[c] += t * (b.raw[c] - a.raw[c])
		a.xyz[c] += t * (b.xyz[c] - a.xyz[c])
	}
	return a
}

// table computes the cells of a material as the eye, a camera under a light,
// sees it. law is the exponent of the non-ideal world: how absorption grows with
// strength, 1 in proportion.
func (e *eye) table(m Material, law float64) *table {
	switch m.kind {
	case plain:
		return &table{1, 1, []cell{e.cell(e.spectra.smooth(m.lab))}}
	case leather:
		return e.leatherTable(m, law)
	case ink:
		return e.inkTable(m.lab)
	}
	return &table{1, 1, []cell{e.cell(spectrumOf(func(float64) float64 { return 1 }))}}
}

func (e *eye) leatherTable(m Material, law float64) *table {
	t := &table{nF: factorSteps + 1, nH: hideSteps + 1}
	if m.strength == 0 || len(m.blend) == 0 {
		t.nF = 1
	}
	dye, hide := m.blend.absorption(), bareHide()
	for j := range t.nH {
		h := math.Exp(maxHide * (2*float64(j)/hideSteps - 1))
		for i := range t.nF {
			strength := math.Pow(m.strength*maxFactor*float64(i)/factorSteps, law)
			var r Spectrum
			for k := range r {
				r[k] = reflectance(h*ks(hide[k]) + strength*dye[k])
			}
			t.cells = append(t.cells, e.cell(r))
		}
	}
	return t
}

// inkTable mixes paper and a near-black ink by area, so that a position p has
// (1-p) of its area covered (Murray-Davies). The ink is invented: L* 18, a
// little warm.
func (e *eye) inkTable(paper colour.Lab) *table {
	full, none := e.cell(e.spectra.smooth(colour.Lab{L: 18, A: .4, B: 1})), e.cell(e.spectra.smooth(paper))
	t := &table{nF: factorSteps + 1, nH: 1}
	for i := range t.nF {
		t.cells = append(t.cells, mix(full, none, float32(i)/factorSteps))
	}
	return t
}

// hideSlope returns how much L* of the bare hide changes per unit of the log
// factor of its K/S, so that place-to-place variation can be given in L*.
func (e *eye) hideSlope() float64 {
	t := e.leatherTable(BareHide(), 1)
	lightness := func(h float64) float64 { return e.lab(t.at(0, h).xyz).L }
	return (lightness(0.1) - lightness(-0.1)) / 0.2
}
