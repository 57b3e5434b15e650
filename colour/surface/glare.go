package surface

import (
	"image"
	"math"

	"evenhide/colour"
	"evenhide/colour/order"
)

// Glare is lamp light thrown back by the finish: it adds lamp colour to the
// leather's own. So a cell is glare when it is far brighter than the region's
// median and the light it has more is of the lamp's colour. A lighter blotch or
// raised grain has more of the leather's colour and stays.
const (
	// sampleCells is how many cells the limits are taken from; their median is
	// then good to 1.25/√2048 = 3 % of the region's spread.
	sampleCells = 2048
	// brightSigma and brightRatio: how far above the median, in robust standard
	// deviations of log luminance and as a ratio, a cell of coloured leather
	// starts to be glare. At L* 40 the ratio is a step of 8 L*, more than dye
	// blotches; 4 sigma leaves 3 in 100 000 cells of even grain.
	brightSigma, brightRatio = 4, 1.5
	// neutralSigma and neutralRatio stand in for them on grey, black and white
	// leather, where colour cannot tell glare from texture.
	neutralSigma, neutralRatio = 6, 2
	// neutralChroma is the relative chroma (max−min)/max under which leather
	// counts as neutral: about C* 8 at L* 50, where noise and the lamp's own
	// tint are as large as what is to be told apart.
	neutralChroma = 0.15
	// skirtSigma and skirtLeast bound the rim of a glare spot that is left out
	// with it, in standard deviations of log luminance and at least 5 %.
	skirtSigma, skirtLeast = 1.5, 0.05
	skirtTiles             = 1.5
	// sigmaLeast stands for the spread of a perfectly even region.
	sigmaLeast = 0.02
	// A second tone of a piece can look like glare. Unlike glare, which fades
	// from its peak to nothing, it is even: its spread is under toneSpread of
	// its distance, or near that of the leather itself (toneSigma times). Below
	// toneShare of the cells the question does not matter to the reading.
	toneShare, toneSpread, toneSigma = 0.05, 1.0 / 8, 1.5
)

// glare holds the limits of one region.
type glare struct {
	high, low float32    // luminance above which a cell may be glare, or its rim
	median    float64    // luminance
	gain      [3]float64 // camera to lamp-neutral colour, about the median
	body      [3]float64 // median colour, lamp-neutral
	chroma    float64    // most relative chroma of the added light; 1: any
}

// newGlare takes the limits from an even sample of the region's cells.
func newGlare(v *view, dev Develop) *glare {
	lim := &glare{high: math.MaxFloat32, low: math.MaxFloat32, chroma: 1}
	cells := v.sample()
	if len(cells) == 0 || !lim.centre(v, cells, dev) {
		return lim
	}
	logs := make([]float64, len(cells))
	for i, c := range cells {
		logs[i] = math.Log(max(float64(c.y)/lim.median, 1e-3))
	}
	sigma := max(spread(logs, 0), sigmaLeast)
	bright := max(neutralSigma*sigma, math.Log(neutralRatio))
	if own := relativeChroma(lim.body); own >= neutralChroma {
		bright = max(brightSigma*sigma, math.Log(brightRatio))
		lim.chroma = own / 2
	}
	if lim.high = float32(lim.median * math.Exp(bright)); lim.secondTone(cells, logs, sigma) {
		lim.high = math.MaxFloat32
		return lim
	}
	lim.low = float32(lim.median * math.Exp(max(skirtSigma*sigma, skirtLeast)))
	return lim
}

// sample returns about sampleCells usable cells, evenly spread. The step is odd
// and its place within each step varies, so that no pattern is followed.
func (v *view) sample() []cell {
	area := v.rect.Dx() * v.rect.Dy()
	pick := func(step int) (cells []cell) {
		for i, hash := 0, uint32(1); i < area; i += step {
			hash = hash*1664525 + 1013904223
			at := min(i+int(hash>>8)%step, area-1)
			c := v.at(v.rect.Min.X+at%v.rect.Dx(), v.rect.Min.Y+at/v.rect.Dx())
			if c.usable {
				cells = append(cells, c)
			}
		}
		return cells
	}
	step := max(1, area/sampleCells)
	cells := pick(step)
	if len(cells) < sampleCells/8 && step > 1 {
		cells = pick(max(1, step/64))
	}
	return cells
}

// centre sets the median luminance and colour, and the gain that makes the
// camera's colour neutral there. It reports whether there is light at all.
func (lim *glare) centre(v *view, cells []cell, dev Develop) bool {
	channel := func(get func(cell) float32) float64 {
		vals := make([]float64, len(cells))
		for i, c := range cells {
			vals[i] = float64(get(c))
		}
		return order.Median(vals)
	}
	lim.median = channel(func(c cell) float32 { return c.y })
	camera := [3]float64{channel(func(c cell) float32 { return c.r }),
		channel(func(c cell) float32 { return c.g }), channel(func(c cell) float32 { return c.b })}
	mid := v.rect.Min.Add(v.rect.Max)
	out := dev(float64(mid.X)/2, float64(mid.Y)/2, colour.LinearRGB{R: camera[0], G: camera[1], B: camera[2]})
	lim.body = [3]float64{out.R, out.G, out.B}
	for i, c := range camera {
		lim.gain[i] = lim.body[i] / c
		if !(lim.gain[i] > 0 && lim.gain[i] < 1e6) {
			lim.gain[i], lim.body[i] = 1, c
		}
	}
	return lim.median > 0
}

// lampLike reports whether the light that r, g, b has more than the leather is
// of the lamp's colour rather than of the leather's.
func (lim *glare) lampLike(r, g, b float32) bool {
	if lim.chroma >= 1 {
		return true
	}
	var more [3]float64
	for i, c := range [3]float32{r, g, b} {
		more[i] = float64(c)*lim.gain[i] - lim.body[i]
	}
	return relativeChroma(more) < lim.chroma
}

// relativeChroma is (max−min)/max of a colour, 0 for a neutral; above 1 when a
// channel is negative.
func relativeChroma(c [3]float64) float64 {
	hi, lo := max(c[0], c[1], c[2]), min(c[0], c[1], c[2])
	if hi <= 0 {
		return math.Inf(1)
	}
	return (hi - lo) / hi
}

// secondTone reports whether the cells that look like glare are a lighter part
// of a two-tone piece.
func (lim *glare) secondTone(cells []cell, logs []float64, sigma float64) bool {
	var bright []float64
	for i, c := range cells {
		if c.y > lim.high && lim.lampLike(c.r, c.g, c.b) {
			bright = append(bright, logs[i])
		}
	}
	if float64(len(bright)) < toneShare*float64(len(cells)) {
		return false
	}
	far := order.Median(bright) // the leather's own median is at 0
	return spread(bright, far) < max(toneSpread*far, toneSigma*sigma)
}

// growGlare takes the rims of glare spots out of the sums: cells that touch
// glare, are brighter than the leather and have light of the lamp's colour, up
// to skirtTiles from it. It returns the number of cells of glare and rim.
func (g *grid) growGlare() int {
	if len(g.seeds) == 0 {
		return 0
	}
	rect, lim := g.bounds(), g.limits
	seen := make([]bool, rect.Dx()*rect.Dy())
	index := func(p image.Point) int { return (p.Y-rect.Min.Y)*rect.Dx() + p.X - rect.Min.X }
	for _, p := range g.seeds {
		seen[index(p)] = true
	}
	total, front := len(g.seeds), g.seeds
	for range int(math.Ceil(g.side * skirtTiles)) {
		var next []image.Point
		for _, p := range front {
			for k := range 9 {
				q := p.Add(image.Pt(k%3-1, k/3-1))
				if !q.In(rect) || seen[index(q)] {
					continue
				}
				if c := g.v.at(q.X, q.Y); c.usable && c.y > lim.low && lim.lampLike(c.r, c.g, c.b) {
					seen[index(q)] = true
					g.drop(q, c)
					next = append(next, q)
				}
			}
		}
		total, front = total+len(next), next
	}
	g.lit = seen
	return total
}
