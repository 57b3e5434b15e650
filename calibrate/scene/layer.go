package scene

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
)

// print is a Layer made ready: what each of its grey levels looks like.
type print struct {
	Layer
	cos, sin float64
	levels   [256]cell
}

func (e *eye) newPrint(sc *Scene, index int) (*print, error) {
	p := &print{Layer: sc.Layers[index]}
	if p.Image == nil || p.Image.Rect.Dx() < 2 || p.Image.Rect.Dy() < 2 || !(p.MMPerPixel > 0) {
		return nil, fmt.Errorf("scene: layer %d: a picture of 2 pixels or more and a scale above 0 wanted", index)
	}
	p.sin, p.cos = math.Sincos(radians(p.Pose.Angle))
	t := e.table(inkOn(p.Paper), 1)
	paper, black := e.lab(t.cells[len(t.cells)-1].xyz), e.lab(t.cells[0].xyz)
	miss := printerError(rand.New(rand.NewPCG(cmp.Or(p.Seed, sc.Seed), 2000+uint64(index))), p.Error)
	for v := range p.levels {
		asked := toLab([3]float64{0, decode(float64(v) / 255), 0}, [3]float64{1, 1, 1}).L
		l := min(max(asked*paper.L/100+miss(asked/100), black.L), paper.L)
		p.levels[v] = t.at(maxFactor*position(e, t, l), 0)
	}
	return p, nil
}

// position returns where between ink (0) and paper (1) the lightness is l: by
// area, so luminance is linear in it.
func position(e *eye, t *table, l float64) float64 {
	y := fromLab(e.lab(t.cells[0].xyz), e.white)[1]
	top := fromLab(e.lab(t.cells[len(t.cells)-1].xyz), e.white)[1]
	want := y
	if l > 0 {
		c := e.lab(t.cells[0].xyz)
		c.L = l
		want = fromLab(c, e.white)[1]
	}
	return (want - y) / (top - y)
}

// printerError returns what a printer makes of lightness 0..1, in L* too light:
// random, of the given RMS. Three fifths of that (0.36 of the variance) is a smooth
// curve, dot gain and the driver's idea of grey, which ends at 0 for bare paper;
// the rest differs from grey to grey as its halftones do. How a home printer's
// error divides is our own choice, no source.
func printerError(rng *rand.Rand, rms float64) func(t float64) float64 {
	var a [3]float64
	total := 0.0
	for i := range a {
		a[i] = rng.NormFloat64()
		total += a[i] * a[i] / 2
	}
	const smooth, rough = .6, .8
	scale := smooth * rms / math.Sqrt(total)
	return func(t float64) float64 {
		v := 0.0
		for i := range a {
			v += a[i] * math.Sin(math.Pi*(float64(i)+.5)*(1-t))
		}
		if t < 1 {
			return v*scale + rough*rms*rng.NormFloat64()
		}
		return v * scale
	}
}

func decode(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// at returns what the print shows at a place on the sheet and whether it lies
// there.
func (p *print) at(q Point) (cell, bool) {
	dx, dy := q.X-p.Pose.X, q.Y-p.Pose.Y
	x := (p.cos*dx + p.sin*dy) / p.MMPerPixel
	y := (p.cos*dy - p.sin*dx) / p.MMPerPixel
	w, h := p.Image.Rect.Dx(), p.Image.Rect.Dy()
	if !(x >= 0 && y >= 0 && x < float64(w) && y < float64(h)) {
		return cell{}, false
	}
	x, y = min(max(x-.5, 0), float64(w)-1.001), min(max(y-.5, 0), float64(h)-1.001)
	i, j := int(x), int(y)
	a, b := p.Image.Pix[j*p.Image.Stride+i:], p.Image.Pix[(j+1)*p.Image.Stride+i:]
	if a[0] == a[1] && a[0] == b[0] && a[0] == b[1] {
		return p.levels[a[0]], true
	}
	u, v := float32(x-float64(i)), float32(y-float64(j))
	return mix(mix(p.levels[a[0]], p.levels[a[1]], u), mix(p.levels[b[0]], p.levels[b[1]], u), v), true
}
