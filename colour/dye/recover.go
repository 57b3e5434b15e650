package dye

import "math"

// Three numbers do not tell a spectrum. But leather and dye have smooth ones, of
// broad bands, and among the smooth ones little is left open: ln K/S is taken for a
// Gaussian process over the wavelength, and the colours seen decide the rest. So is
// what the readings of a photo have in common: how its camera sees in its light, and
// the greys of its card. Dabs of one dye must differ as their parts of dye say, the
// target as some mix of the dyes does, and that tells how far all of them are off.
const (
	// dyeLength and hideLength are over how many nm ln K/S stays alike. The
	// pigments of a measured chart are predicted best with 80 for dyes, the invented
	// dyes of the scenes with 120.
	dyeLength, hideLength = 100.0, 120.0
	dyeSD, hideSD         = 1.5, 1.0 // of ln K/S from one end to the other
	levelSD               = 1.0      // of its mean
	hideLevel             = -1.0     // its mean for hide, about L* 70; for dyes it is 0
	// usualLaw is the logarithm of the exponent with which K/S grows with concentration,
	// commonSD and ownSD by how much it may differ, all dyes alike and each of them: a little
	// less than in proportion, as what takes up dye fills (our own choice, no source).
	usualLaw, commonSD, ownSD = -.03, .05, .02
	// readingSD is what a reading is out by on each CIELAB axis beyond its own scatter and
	// what it shares with others. aloneSD is the same for one that does not say what it shares.
	readingSD, aloneSD = .14, .5
	// underSD is how far the hide differs from one place to the next, in the logarithm
	// of its K/S.
	underSD = .1
	// usualDye and amountSD are the most probable sum of the amounts in a target, and how
	// far each may differ from an equal share, in its logarithm.
	usualDye, amountSD = .6, 1.5
)

// smooth is a guess of ln K/S at each sample.
func smooth(mean, sd, length, level float64) guess {
	g := even(samples, mean, 0)
	for i := range samples {
		for j := range samples {
			d := 10 * float64(i-j) / length
			g.cov.Set(i, j, sd*sd*math.Exp(-d*d/2)+level*level)
		}
	}
	return g
}

// anyDye is what is known of a dye before any dab of it: what it adds to K/S, and
// last by how much its exponent differs from that of the others, in logarithms.
func anyDye() guess { return smooth(0, dyeSD, dyeLength, levelSD).with(even(1, 0, ownSD)) }
