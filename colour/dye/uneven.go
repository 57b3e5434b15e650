package dye

import "math"

// Hide is even, or differs from place to place as good veg-tan does, by 2 L*: log K/S.
const evenHide, unevenHide = 0.03, 0.3

// HideSpread returns by how much the hide differs from place to place (Options.Hide) as
// the samples of one photo show it, with none of them as likely even as not. Where a
// sample's bands are not explained by more or less of the reference's dye, but are by
// other hide, the hide speaks; but it may be another dye, as one in ten is taken to be.
// What a sample of another strength shows counts the less, since a camera bends the
// dye's line.
func HideSpread(hide, reference Sample, samples []Sample, opt Options) float64 {
	opt.Hide = 0
	var seen []underlay
	for _, s := range samples {
		p, err := newProblem(hide, reference, s, opt)
		if err != nil {
			continue // Relative says so
		}
		if u, ok := p.underlay(); ok {
			u.places = s.places()
			seen = append(seen, u)
		}
	}
	even, uneven := likelihood(seen, evenHide, reference.places()), likelihood(seen, unevenHide, reference.places())
	return math.Sqrt((even*evenHide*evenHide + uneven*unevenHide*unevenHide) / (even + uneven))
}

// underlay is by what share the hide under a sample seems to have more K/S than that
// in the window, and the variance of that.
type underlay struct{ share, variance, places float64 }

// underlay fits strength and the hide's share to what the sample adds, by least
// squares; false where the two cannot be told apart.
func (p *problem) underlay() (underlay, bool) {
	const bent = 0.2 // share, for each unit of log strength
	l := newLine(p.in[0].r, p.in[1].r, p.opt.Surface)
	var dd, dh, hh, da, ha float64
	for i, d := range l.dye {
		slope := p.slope(p.in[1].r[i])
		w := 1 / (slope*slope*(p.in[1].cov[i][i]+p.in[2].cov[i][i]) + tiny)
		h, added := l.hide[i], KS(p.opt.Surface.Internal(p.in[2].r[i]))-l.hide[i]
		dd, dh, hh, da, ha = dd+w*d*d, dh+w*d*h, hh+w*h*h, da+w*d*added, ha+w*h*added
	}
	det := dd*hh - dh*dh
	strength := (hh*da - dh*ha) / det
	if !(det > 0 && strength > 0) {
		return underlay{}, false
	}
	far := bent * math.Log(strength)
	return underlay{share: (dd*ha - dh*da) / det, variance: dd/det + far*far}, true
}

// likelihood returns how likely the samples are on hide of that spread, whatever the
// hide under the reference, of so many places, is, but for a factor that is the same for any spread.
func likelihood(seen []underlay, spread, places float64) float64 {
	const (
		other    = 0.1 // of samples are of another dye, which may pass for any share
		anyShare = 1.0
		step     = 0.4 // of the spread, and as far as 2.4 of it
		farthest = 6
	)
	total, mean := 0.0, spread/math.Sqrt(places)
	for k := -farthest; k <= farthest; k++ {
		under := step * float64(k) * mean
		l := math.Exp(lnNormal(under, mean*mean))
		for _, u := range seen { // over how likely another dye is, which may itself round to 0
			stray := lnNormal(u.share, u.variance+anyShare*anyShare)
			l *= (1-other)*math.Exp(lnNormal(u.share+under, u.variance+spread*spread/u.places)-stray) + other
		}
		total += l * step * mean
	}
	return total
}

// lnNormal returns the logarithm of the density of a normal distribution around 0.
func lnNormal(x, variance float64) float64 {
	return -x*x/2/variance - math.Log(2*math.Pi*variance)/2
}
