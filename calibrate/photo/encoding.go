package photo

import (
	"math"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

// encoding says what light a photo's codes stand for.
type encoding struct {
	name      string        // of the embedded profile, "" for none
	decode    [3]curve      // code / full code to light, per channel
	same      bool          // all three are one curve
	toWorking colour.Matrix // linear RGB of the photo to the working space
	lum       [3]float64    // Y of each channel's full light
}

// newEncoding returns the encoding of the photo's embedded profile. Without one
// the photo is sRGB, or Adobe RGB where the EXIF says so (CIPA DC-008:
// interoperability index R03). A PNG's gAMA, cHRM and sRGB chunks are not
// looked at: phones and editors that mean another space than sRGB embed a
// profile, and gAMA alone is often wrong.
func newEncoding(h *header, about about) (*encoding, error) {
	if h.icc != nil {
		p, err := parseProfile(h.icc)
		if err != nil {
			return nil, err
		}
		if p.grey && !h.grey {
			return nil, refusal.New(ErrProfile, hintProfile, "a colour photo with the grey profile %q", p.name)
		}
		return p.encoding(), nil
	}
	space, name := colour.SRGB(), ""
	if about.adobeRGB {
		space = colour.AdobeRGB()
		name = space.Name
	}
	e := &encoding{name: name, decode: [3]curve{space.Decode, space.Decode, space.Decode}, same: true}
	return e.adapted(space.ToXYZ, space.White), nil
}

// adapted sets e's matrix from that of its linear RGB to XYZ under white.
func (e *encoding) adapted(toXYZ colour.Matrix, white colour.White) *encoding {
	working := colour.WorkingSpace()
	toXYZ = colour.Adaptation(white, working.White).Mul(toXYZ)
	e.lum = toXYZ[1]
	fromXYZ, _ := working.ToXYZ.Inverse() // a Space always has independent primaries
	e.toWorking = fromXYZ.Mul(toXYZ)
	return e
}

// tables returns the light of every code of each channel, where there are size
// codes.
func (e *encoding) tables(size int) [3][]light {
	values := make([]float64, size)
	var t [3][]light
	for c := range t {
		if c == 0 || !e.same {
			for i := range values {
				values[i] = min(max(e.decode[c](float64(i)/float64(size-1)), 0), 1)
			}
		}
		t[c] = make([]light, size)
		for i, v := range values {
			t[c][i] = packLight(v, e.lum[c])
		}
	}
	return t
}

// toOwn returns the way back from the working space to the photo's RGB; nil when it
// is the working space, to what profiles are rounded to.
func (e *encoding) toOwn() *colour.Matrix {
	const same = 1e-3
	own, ok := e.toWorking.Inverse()
	apart := 0.0
	for i, row := range colour.Identity() {
		for j, v := range row {
			apart = max(apart, math.Abs(own[i][j]-v))
		}
	}
	if !ok || apart < same {
		return nil
	}
	return &own
}
