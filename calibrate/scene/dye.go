package scene

import (
	"math"
	"slices"

	"evenhide/colour"
)

// band is one absorption band: Kubelka-Munk K/S at its peak, and its width.
type band struct{ peak, nm, width float64 }

// Dye is a dye as an absorption spectrum: what strength 1 of it adds to the K/S
// of the leather under it.
type Dye struct {
	Name  string
	base  float64
	bands []band
}

// Dyes returns the colours of Saltmarsh Bench, an invented workshop. Names and
// absorption bands are invented too: broad bands such as leather dyes have,
// chosen by eye to give the colour that the name says at strength 1.
func Dyes() []Dye {
	return []Dye{
		{"Fenland tan", .03, []band{{2.4, 430, 65}, {.32, 530, 45}}},
		{"Harrow brown", .10, []band{{6.5, 430, 75}, {1.5, 530, 55}, {.6, 610, 50}}},
		{"Peat brown", .6, []band{{9, 430, 90}, {5, 540, 65}, {2.2, 620, 60}}},
		{"Sloe black", 8, []band{{5, 480, 120}, {5, 600, 80}}},
		{"Brent oxblood", .25, []band{{5, 430, 60}, {7, 530, 45}, {.6, 600, 30}}},
		{"Creek navy", 1.2, []band{{11, 600, 60}, {4, 530, 50}, {.4, 430, 40}}},
		{"Samphire green", .3, []band{{4, 420, 50}, {5.5, 640, 50}, {.4, 530, 50}}},
	}
}

// DyeNamed returns the dye of that name and whether there is one.
func DyeNamed(name string) (Dye, bool) {
	all := Dyes()
	i := slices.IndexFunc(all, func(d Dye) bool { return d.Name == name })
	if i < 0 {
		return Dye{}, false
	}
	return all[i], true
}

// Part is an amount of one dye in a blend; the amounts of a pure dye are 1.
type Part struct {
	Dye    Dye
	Amount float64
}

// Blend is what one coat holds. An empty blend leaves the leather bare.
type Blend []Part

// absorption returns the K/S that strength 1 of the blend adds.
func (b Blend) absorption() Spectrum {
	return spectrumOf(func(nm float64) float64 {
		total := 0.0
		for _, p := range b {
			total += p.Amount * p.Dye.base
			for _, d := range p.Dye.bands {
				t := (nm - d.nm) / d.width
				total += p.Amount * d.peak * math.Exp(-t*t/2)
			}
		}
		return total
	})
}

// bareHide returns the reflectance of undyed vegetable-tanned leather: a smooth
// rise from 0.13 at 400 nm to 0.65 at 700 nm, steepest in the blue and in the
// orange, which makes it a pinkish tan. It is invented, since no open measured
// spectrum of leather was found: two steps fitted to L* 70, a* 10, b* 24 (D65), the
// middle of what natural leather is said to have (from memory, low confidence).
func bareHide() Spectrum {
	rise := func(nm, middle, width float64) float64 { return 1 / (1 + math.Exp((middle-nm)/width)) }
	return spectrumOf(func(nm float64) float64 { return .01 + .3*rise(nm, 415, 35) + .35*rise(nm, 590, 30) })
}

// ks returns the Kubelka-Munk ratio K/S of reflectance r, 0 < r <= 1.
func ks(r float64) float64 { return (1 - r) * (1 - r) / (2 * r) }

// reflectance returns the reflectance of an opaque layer of ratio k = K/S.
func reflectance(k float64) float64 { return 1 + k - math.Sqrt(k*k+2*k) }

// smooth returns the reflectance, quadratic over the wavelength, whose CIELAB
// colour under D65 is c. Only colours of low chroma stay within 0..1 everywhere.
func (s *Spectra) smooth(c colour.Lab) Spectrum {
	d65 := s.lights[D65]
	var m colour.Matrix
	basis := [3]Spectrum{}
	for j := range basis {
		basis[j] = spectrumOf(func(nm float64) float64 { return math.Pow((nm-560)/150, float64(j)) })
		for i, v := range s.xyz(&basis[j], &d65) {
			m[i][j] = v
		}
	}
	inverse, _ := m.Inverse() // the observer's three functions tell these three apart
	w := inverse.Apply(fromLab(c, s.white(&d65)))
	var out Spectrum
	for i := range out {
		out[i] = min(max(w[0]*basis[0][i]+w[1]*basis[1][i]+w[2]*basis[2][i], 0.001), 1)
	}
	return out
}
