package dye

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// logNormal returns -2 ln of a normal density, up to the constant, of distances with a
// dense covariance, by Gaussian elimination.
func logNormal(cov [][]float64, off []float64) (misfit float64) {
	for i := range off {
		misfit += math.Log(cov[i][i]) + off[i]*off[i]/cov[i][i]
		for r := i + 1; r < len(off); r++ {
			share := cov[r][i] / cov[i][i]
			off[r] -= share * off[i]
			for k := i; k < len(off); k++ {
				cov[r][k] -= share * cov[i][k]
			}
		}
	}
	return misfit
}

// drawnWitnesses are readings of pieces on a curve, with their covariance written out.
type drawnWitnesses struct {
	curve
	pieces [][]Coat
	all    []Coat
	of     []int // piece that each is of
}

func drawWitnesses(rt *rapid.T) (d drawnWitnesses) {
	percent := func(what string, lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(rt, what)) / 100 }
	d.curve = newCurve(BuildUp{Full: percent("full", 50, 200), Rate: percent("rate", 50, 600), Shape: percent("shape", 0, 1) * 100}, 4)
	d.vary = percent("vary", 5, 30)
	for i := range rapid.IntRange(1, 4).Draw(rt, "pieces") {
		var coats []Coat
		for n := range 8 { // each coat in up to two photos
			if rapid.Bool().Draw(rt, "read") {
				coats = append(coats, Coat{n/2 + 1, percent("strength", 5, 150), percent("u", 2, 30), int64(rapid.IntRange(0, 2).Draw(rt, "photo")*2 + n%2)})
				d.of = append(d.of, i)
			}
		}
		d.pieces, d.all = append(d.pieces, coats), append(d.all, coats...)
	}
	return d
}

// together returns how the strengths of a piece after i and after j coats vary together.
func (d drawnWitnesses) together(i, j int) float64 {
	s := d.vary * d.vary * (d.after[i]*d.after[j] + d.sooner[i]*d.sooner[j])
	for n := 1; n <= min(i, j); n++ {
		gain := d.after[n] - d.after[n-1]
		s += byHand * byHand * gain * gain
	}
	return s
}

// written returns the covariance of all readings, and their distances from the curve.
func (d drawnWitnesses) written() (cov [][]float64, off []float64) {
	cov, off = make([][]float64, len(d.all)), make([]float64, len(d.all))
	for i, a := range d.all {
		off[i] = a.Strength - d.after[a.N]
		for j, b := range d.all {
			aBands, aBend, aRest := a.parts()
			bBands, bBend, bRest := b.parts()
			s := aBands*bBands + aBend*bBend + sharedByColour*math.Sqrt(aRest*bRest)
			if a.Photo == b.Photo && a.Photo != 0 {
				s += sharedByPhoto * math.Sqrt(aRest*bRest)
			}
			if i == j {
				s = a.U * a.U / 4
			}
			if d.of[i] == d.of[j] {
				s += d.together(a.N, b.N)
			}
			cov[i] = append(cov[i], s)
		}
	}
	return cov, off
}

// However pieces, coats and photos lie, the misfit is that of one normal distribution
// of all readings, written out.
func TestMisfitWrittenOut(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := drawWitnesses(rt)
		const close = 1e-8 // of what elimination loses in thirty-two readings
		got, want := newWitnesses(d.pieces).misfit(d.curve), logNormal(d.written())
		if !(math.Abs(got-want) <= close*(1+math.Abs(want))) {
			rt.Fatalf("%v: %v, want %v", d.pieces, got, want)
		}
	})
}

// What a piece comes to is what that distribution says of it once all are read: its own
// readings count less what those of the others say of the errors that they share.
func TestWitnessesCorrectAPiece(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := drawWitnesses(rt)
		if len(d.pieces[0]) == 0 {
			return
		}
		w := newWitnesses(d.pieces)
		w.misfit(d.curve)
		p := new(onCurve)
		p.place(d.curve, w.pieces[0].coats, w.pieces[0].own)
		p.correct(w)
		const coats, close = 4, 1e-8
		mean, variance := p.at(coats)
		cov, off := d.written()
		last := make([]float64, len(off)+1)
		for i, r := range d.all {
			if d.of[i] == 0 {
				last[i] = d.together(r.N, coats)
			}
			cov[i] = append(cov[i], last[i])
		}
		last[len(off)] = d.together(coats, coats)
		cov, off = append(cov, last), append(off, 0)
		logNormal(cov, off) // leaves what the others leave open of the last
		wantMean, wantVariance := d.after[coats]-off[len(off)-1], max(last[len(off)-1], tiny)
		if !(math.Abs(mean-wantMean) <= close && math.Abs(variance-wantVariance) <= close) {
			rt.Fatalf("%v: %v with variance %v, want %v with %v", d.pieces, mean, variance, wantMean, wantVariance)
		}
	})
}

// The parts of a reading are together what is not known of it: none of them below 0, the
// model's the same as a strength says of itself, but not more than there is.
func TestPartsOfAReading(t *testing.T) {
	c := Coat{N: 1, Strength: .4, U: .2}
	bands, bend, rest := c.parts()
	// .035 of the .6 to go, and .087·.4·ln .4.
	near(t, "three bands", bands, -.021, rounding)
	near(t, "bend", bend, .087*.4*math.Log(.4), rounding)
	near(t, "in all", bands*bands+bend*bend+rest, .01, rounding)
	c.U = .02
	bands, bend, rest = c.parts()
	near(t, "in all", bands*bands+bend*bend+rest, .0001, rounding)
	near(t, "rest", rest, .25*.0001, rounding)
}

// What a rate a little shorter adds is the slope of the build-up.
func TestSooner(t *testing.T) {
	const h, close = 1e-5, 1e-8
	for _, b := range []BuildUp{{1.2, 2, 0, 0}, {1.2, 2, 1, 0}, {.8, 3, .5, 0}, {.4, 1.5, 0, .7}} {
		slow, fast := b, b
		slow.Rate, fast.Rate = b.Rate*math.Exp(h), b.Rate*math.Exp(-h)
		near(t, "sooner", b.sooner(3), (fast.After(3)-slow.After(3))/(2*h), close)
	}
}
