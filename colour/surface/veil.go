package surface

// veilLeast is the variation of the tiles' luminance from which on a veil is looked
// for: more than blotches of 4 ΔE00 make at L* 40, less than a flash.
const veilLeast = 0.2

// veiled reports whether a shine lies over so much of the region that its median is
// shine too, and no spot stands out from it: tiles vary a lot, and what the lighter
// ones have more is of the lamp's colour rather than of the leather's. Leather
// that is lighter because it took less dye has more of its own colour. On grey and
// black leather the two are alike, and it reports false.
func (s *sheet) veiled(cv float64) bool {
	var all light
	y := 0.0
	for i := range s.tiles {
		all.add(s.tiles[i].light)
		y += s.tiles[i].lum / float64(len(s.tiles))
	}
	mean := all.mean()
	own := relativeChroma([3]float64{mean.R, mean.G, mean.B})
	if cv < veilLeast || own < neutralChroma {
		return false
	}
	var more [3]float64 // light of each channel that goes with luminance
	for i := range s.tiles {
		t := &s.tiles[i]
		more[0] += (t.light.R - mean.R) * (t.lum - y)
		more[1] += (t.light.G - mean.G) * (t.lum - y)
		more[2] += (t.light.B - mean.B) * (t.lum - y)
	}
	return relativeChroma(more) < own/2
}
