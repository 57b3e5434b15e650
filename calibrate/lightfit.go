package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"evenhide/colour/order"
)

// probe is one node of the sheet: its place and log light per channel.
type probe struct {
	at      Point
	terms   surfaceTerms
	log     [3]float64
	written [3]float64 // log of what the camera wrote
	off     [3]float64 // log less the surface
	block   int
}

// Shape of the robust fit.
const (
	mostProbes  = 2000 // enough for 0.1 %, and quick
	fitRounds   = 8
	lensDamping = 1e-4  // of all weight: the term's size, about 0.2, against the misfit of some hundred blocks of sheet
	tukey       = 4.685 // standard deviations beyond which a probe has no weight: 95 % efficient on normal noise
	firstSpread = 0.16  // log light; halved with each round, so that the first guess at the surface rules nothing out
	leastSpread = 0.008 // log light; a finer scale than that is no paper's

	mostCondition = 1e7 // of a surface over a strip of a twentieth of its length
	mostVague     = .2  // log light: what light varies by over a photo, about, and so no better than even light
	leastFree     = 2   // blocks more than the surface has terms: one miss tells of no scatter
)

// fitLight fits the surface to probes on the sheet, by least squares reweighted
// with Tukey's biweight: shadows, print and creases lose their say. All channels
// share the weights. It is false when the probes do not span a surface, or are too
// few to tell how far it may be wrong.
// A first fit halves its patience with what is off the surface round by round; one
// of probes that a fit has chosen takes half of the rounds and is asked how far it
// may be wrong.
func fitLight(probes []probe, centre Point, scale float64, first bool) (*Light, bool) {
	l := &Light{centre: centre, scale: scale, reference: centre, written: &[3]surfaceTerms{}}
	weights := make([]float64, len(probes))
	for i := range probes {
		probes[i].terms = l.terms(probes[i].at)
		weights[i] = 1
	}
	off := make([]float64, len(probes))
	from := fitRounds / 2
	if first {
		from = 0
	}
	for round := from; round < fitRounds; round++ {
		patience := firstSpread * math.Exp2(-float64(round))
		if !l.solve(probes, weights) {
			return nil, false
		}
		var spread [3]float64
		for k := range spread {
			for i := range probes {
				probes[i].off[k] = probes[i].log[k] - l.channels[k].dot(probes[i].terms)
				off[i] = math.Abs(probes[i].off[k])
			}
			spread[k] = max(order.Quantile(off, .25)/.3186, patience, leastSpread)
		}
		for i := range probes {
			far := 0.0
			for k, s := range spread {
				far = max(far, math.Abs(probes[i].off[k])/s)
			}
			t := far / tukey
			weights[i] = max(0, 1-t*t)
			weights[i] *= weights[i]
		}
	}
	return l, first || l.doubt(probes, weights)
}

// solve sets the surfaces to the weighted least squares fit.
func (l *Light) solve(probes []probe, weights []float64) bool {
	var normal [lightTerms * lightTerms]float64
	all := 0.0
	var right [6]surfaceTerms
	for i := range probes {
		p, w := &probes[i], weights[i]
		if w == 0 {
			continue
		}
		all += w
		for a, ta := range p.terms {
			wa := w * ta
			for b := a; b < lightTerms; b++ {
				normal[a*lightTerms+b] += wa * p.terms[b]
			}
			for k := range p.log {
				right[k][a] += wa * p.log[k]
				right[3+k][a] += wa * p.written[k]
			}
		}
	}
	// The lens's term is held loosely to 0: a small sheet says nothing of it.
	normal[len(normal)-1] += lensDamping * all
	var c mat.Cholesky
	if !c.Factorize(mat.NewSymDense(lightTerms, normal[:])) || c.Cond() > mostCondition {
		return false
	}
	for k := range right {
		var x mat.VecDense
		if c.SolveVecTo(&x, mat.NewVecDense(lightTerms, right[k][:])) != nil {
			return false
		}
		if k < 3 {
			copy(l.channels[k][:], x.RawVector().Data)
		} else {
			copy(l.written[k-3][:], x.RawVector().Data)
		}
	}
	return true
}

// block is a part of the sheet: the weighted sums over its probes, and then their
// means.
type block struct {
	w     float64
	terms surfaceTerms
	miss  [3]float64 // log light less the surface
}

// doubt works out how far the surfaces may be wrong. What a fit misses is not
// noise alone, and its neighbours miss it too: so the means of blocks of probes
// count, as one observation each. It is false when there are too few blocks, or
// they lie so that the surfaces could run off anywhere beside them.
func (l *Light) doubt(probes []probe, weights []float64) bool {
	blocks := make([]block, 1+slices.MaxFunc(probes, func(a, b probe) int { return a.block - b.block }).block)
	for i := range probes {
		p, w := &probes[i], weights[i]
		if w == 0 {
			continue
		}
		b := &blocks[p.block]
		b.w += w
		for j, t := range p.terms {
			b.terms[j] += w * t
		}
		for k := range b.miss {
			b.miss[k] += w * (p.log[k] - l.channels[k].dot(p.terms))
		}
	}
	normal := mat.NewSymDense(lightTerms, nil)
	level, tint, used := 0.0, 0.0, 0
	for i := range blocks {
		b := &blocks[i]
		if b.w == 0 {
			continue
		}
		used++
		for j := range b.terms {
			b.terms[j] /= b.w
		}
		normal.SymRankOne(normal, 1, mat.NewVecDense(lightTerms, b.terms[:]))
		r, g, bl := b.miss[0]/b.w, b.miss[1]/b.w, b.miss[2]/b.w
		mean := (r + g + bl) / 3
		level += mean * mean
		tint += ((r-mean)*(r-mean) + (g-mean)*(g-mean) + (bl-mean)*(bl-mean)) / 2
	}
	if used < lightTerms+leastFree {
		return false
	}
	// The lens's term is known to what solve holds it to.
	last := lightTerms - 1
	normal.SetSym(last, last, normal.At(last, last)+lensDamping*float64(used))
	free := float64(used - lightTerms)
	l.misfit, l.tint = math.Sqrt(level/free), math.Sqrt(tint/free)
	l.modes = l.modesOf(normal)
	return l.modes != nil && l.vagueness(blocks) < mostVague
}

// vagueness returns by how much the surfaces may be wrong over the whole photo
// against the middle of the sheet: the root mean square of level and tint together.
func (l *Light) vagueness(blocks []block) float64 {
	var x, y, n float64
	for i := range blocks {
		if b := &blocks[i]; b.w > 0 {
			x, y, n = x+b.terms[1], y+b.terms[2], n+1
		}
	}
	middle := termsAt(x/n, y/n)
	const across = 8
	sum := 0.0
	for i := range across * across {
		u, v := (float64(i%across)+.5)/across, (float64(i/across)+.5)/across // of the photo
		level, tint := l.surfaces(l.terms(Point{2 * u * l.centre.X, 2 * v * l.centre.Y}).less(middle))
		sum += level + tint
	}
	return math.Sqrt(sum / (across * across))
}

// modesOf returns the columns of the root of the surface's covariance, once for
// the level and once each for red and for blue against the others; none when it
// has no root.
func (l *Light) modesOf(normal *mat.SymDense) [][3]surfaceTerms {
	var c mat.Cholesky
	if !c.Factorize(normal) || c.Cond() > mostCondition {
		return nil
	}
	var inverse mat.SymDense
	if c.InverseTo(&inverse) != nil || !c.Factorize(&inverse) {
		return nil
	}
	var root mat.TriDense
	c.LTo(&root)
	var out [][3]surfaceTerms
	for _, shares := range [3][3]float64{
		{l.misfit, l.misfit, l.misfit},
		// Two directions across the level, each of length tint.
		{l.tint / math.Sqrt2, 0, -l.tint / math.Sqrt2},
		{l.tint / math.Sqrt(6), -2 * l.tint / math.Sqrt(6), l.tint / math.Sqrt(6)},
	} {
		for j := range lightTerms {
			var m [3]surfaceTerms
			for k, s := range shares {
				for i := j; i < lightTerms; i++ {
					m[k][i] = s * root.At(i, j)
				}
			}
			out = append(out, m)
		}
	}
	return out
}
