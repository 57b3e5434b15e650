package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"evenhide/calibrate/scene"
)

// lot is pieces of one colour, each dyed coat by coat, beside one swatch and one hide.
// How often colours and pieces differ by what is our own choice, no source.
type lot struct {
	job
	world      world
	base       scene.Scene
	blend      scene.Blend
	depth      float64
	dice       *rand.Rand
	coats      int     // that bring a usual piece to the swatch's strength
	full, rate float64 // proportional: where a usual piece ends, under 1 of a mix that is too thin, and how fast it gets there
	power      float64 // bent: strength grows with the number of coats to this power
	refs       []float64
	new, old   []dyedPiece
}

// dyedPiece is one piece: by how many L* its bare hide is lighter than usual, and its
// strength after each coat, [0] before the first.
type dyedPiece struct {
	name     string
	hideL    float64
	strength []float64
}

const (
	newPieces, oldPieces = 8, 6
	readCoats, oldCoats  = 2, 5 // after which photos are taken
	mostCoats            = 12   // more, that anybody lays
	neverCoats           = 99   // stands for no number of coats
)

// lotOf draws the seed-th lot in a light.
func (st *stage) lotOf(j job, w world) *lot {
	l := &lot{job: j, world: w, base: st.scene(j.seed, j.light), dice: rand.New(rand.NewPCG(j.seed, 700))}
	l.blend, l.depth = l.base.Items[0].Material.Recipe()
	if w == proportional {
		l.base.Law = 1
	}
	l.coats = 3 + l.dice.IntN(4)
	n := float64(l.coats)
	l.rate = 2.5 * math.Exp(.35*l.dice.NormFloat64())
	l.full = 1 / -math.Expm1(-n/l.rate)
	l.power = .5 + .4*l.dice.Float64()
	if l.dice.Float64() < .1 { // a mix that is too thin
		l.full = .6 + .25*l.dice.Float64()
	}
	l.refs = []float64{l.hideL(), l.hideL()}
	for i := range oldPieces {
		l.old = append(l.old, l.piece(fmt.Sprint("old ", i+1)))
	}
	for i := range newPieces {
		l.new = append(l.new, l.piece(fmt.Sprint("new ", i+1)))
	}
	return l
}

// hideL draws by how many L* a place of the hide is lighter than usual.
func (l *lot) hideL() float64 {
	if l.world == bent {
		return 2 * l.dice.NormFloat64()
	}
	return 0
}

// piece draws a piece. Pieces take up a tenth more or less and fill up a tenth sooner
// or later; in the bent world a coat is besides 15 % heavier or lighter than another.
func (l *lot) piece(name string) dyedPiece {
	p := dyedPiece{name: name, hideL: l.hideL(), strength: []float64{0}}
	takes, fills := math.Exp(.1*l.dice.NormFloat64()), math.Exp(.1*l.dice.NormFloat64())
	for n := 1.; n <= readCoats+mostCoats; n++ {
		gain := l.full * (math.Exp(-(n-1)/(l.rate*fills)) - math.Exp(-n/(l.rate*fills)))
		if l.world == bent {
			gain = (math.Pow(n, l.power) - math.Pow(n-1, l.power)) / math.Pow(float64(l.coats), l.power) * math.Exp(.15*l.dice.NormFloat64())
		}
		p.strength = append(p.strength, p.strength[len(p.strength)-1]+takes*gain)
	}
	return p
}

// left returns how many more coats than those that were read bring a piece within the
// tolerance, or past the swatch, by its spectrum.
func (l *lot) left(s *scene.Spectra, p dyedPiece) int {
	swatch := s.DyedOn(l.refs[0], l.blend, l.depth, l.base.Law)
	for more := range mostCoats + 1 {
		c := p.strength[readCoats+more]
		if c >= 1 || scene.Difference(swatch, s.DyedOn(p.hideL, l.blend, l.depth*c, l.base.Law)) <= tolerance {
			return more
		}
	}
	return neverCoats
}

// photo lays pieces after so many coats beside the swatch and the hide, under a light
// of its own.
func (l *lot) photo(st *stage, pieces []dyedPiece, coats int, seed uint64) *dabScene {
	d := &dabScene{Scene: st.again(l.base, seed, l.light), dice: rand.New(rand.NewPCG(seed, 701)), blend: l.blend, depth: l.depth}
	d.Items = d.Items[:2]
	var laid []bottle
	for _, p := range pieces {
		laid = append(laid, bottle{strength: p.strength[coats], blend: l.blend})
	}
	d.lay(laid, 1)
	for i := range d.Items {
		s := &d.Items[i].Surface
		s.HideVariation = 0
		if i < 2 {
			s.HideL = l.refs[i]
		} else {
			s.HideL = pieces[i-2].hideL
		}
	}
	return d
}
