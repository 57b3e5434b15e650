package scene

import (
	"math"
	"math/rand/v2"
)

// field is a random surface of mean 0 and RMS 1 over its grid, smooth over a
// correlation length along each of two axes.
type field struct {
	values       []float32
	w, h         int
	stepX, stepY float64
	origin       Point // of the grid in the turned frame
	cos, sin     float64
}

// stepsPerLength is how finely a correlation length is sampled: the blur that
// makes the field then has a sigma of three steps, smooth enough to interpolate.
const stepsPerLength = 6

// newField returns a field over the box lo..hi whose autocorrelation falls to
// 1/e at along mm in the direction angle (degrees) and at across mm at right
// angles to it. It is white noise blurred by a Gaussian of half that length.
func newField(rng *rand.Rand, lo, hi Point, along, across, angle float64) *field {
	f := &field{stepX: along / stepsPerLength, stepY: across / stepsPerLength}
	f.sin, f.cos = math.Sincos(radians(angle))
	corners := []Point{f.turn(lo), f.turn(hi), f.turn(Point{lo.X, hi.Y}), f.turn(Point{hi.X, lo.Y})}
	a, b := bounds(corners)
	f.origin = Point{a.X - f.stepX, a.Y - f.stepY}
	f.w, f.h = int((b.X-a.X)/f.stepX)+4, int((b.Y-a.Y)/f.stepY)+4
	const sigma = stepsPerLength / 2
	const pad = 3 * sigma
	w, h := f.w+2*pad, f.h+2*pad
	noise := make([]float32, w*h)
	for i := range noise {
		noise[i] = float32(rng.NormFloat64())
	}
	noise = blurred(noise, w, h, sigma)
	f.values = make([]float32, 0, f.w*f.h)
	for y := range f.h {
		f.values = append(f.values, noise[(y+pad)*w+pad:][:f.w]...)
	}
	standardise(f.values)
	return f
}

func (f *field) turn(p Point) Point {
	return Point{f.cos*p.X + f.sin*p.Y, f.cos*p.Y - f.sin*p.X}
}

// at returns the field's value at p, clamped to the grid's edge beyond it.
func (f *field) at(p Point) float64 {
	q := f.turn(p)
	x := min(max((q.X-f.origin.X)/f.stepX, 0), float64(f.w)-1.001)
	y := min(max((q.Y-f.origin.Y)/f.stepY, 0), float64(f.h)-1.001)
	return bilinear(f.values, f.w, x, y)
}

func standardise(v []float32) {
	var mean, square float64
	for _, x := range v {
		mean += float64(x)
	}
	mean /= float64(len(v))
	for _, x := range v {
		square += (float64(x) - mean) * (float64(x) - mean)
	}
	scale := 1 / math.Sqrt(square/float64(len(v)))
	for i, x := range v {
		v[i] = float32((float64(x) - mean) * scale)
	}
}

// gaussian returns the weights of a blur from its middle outwards, summing to 1
// over both sides.
func gaussian(sigma float64) []float32 {
	if sigma <= 0 {
		return []float32{1}
	}
	k := make([]float32, int(math.Ceil(3*sigma))+1)
	total := 0.0
	for i := range k {
		g := math.Exp(-float64(i*i) / (2 * sigma * sigma))
		k[i] = float32(g)
		total += g
		if i > 0 {
			total += g
		}
	}
	for i := range k {
		k[i] /= float32(total)
	}
	return k
}

// blurred returns a grid of single values blurred by a Gaussian; beyond its
// edges the edge value goes on.
func blurred(grid []float32, w, h int, sigma float64) []float32 {
	k := gaussian(sigma)
	across, out := make([]float32, w*h), make([]float32, w*h)
	for i := range grid {
		x, y := i%w, i/w
		v := k[0] * grid[i]
		for d := 1; d < len(k); d++ {
			v += k[d] * (grid[y*w+max(x-d, 0)] + grid[y*w+min(x+d, w-1)])
		}
		across[i] = v
	}
	for i := range grid {
		x, y := i%w, i/w
		v := k[0] * across[i]
		for d := 1; d < len(k); d++ {
			v += k[d] * (across[max(y-d, 0)*w+x] + across[min(y+d, h-1)*w+x])
		}
		out[i] = v
	}
	return out
}

// The grain repeats after grainSide steps of grainStep mm. Its pebbles are about
// grainPebble steps wide.
const (
	grainSide   = 512
	grainStep   = 0.1
	grainPebble = 11
)

// newGrain returns a repeating leather grain of mean 0 and RMS 1: pebbles with
// darker creases between them (distance to the nearest against the second
// nearest of scattered points), and a finer speckle.
func newGrain(rng *rand.Rand) []float32 {
	const n = grainSide / grainPebble
	const pitch = float64(grainSide) / n
	var seeds [n][n]Point
	for j := range n {
		for i := range n {
			seeds[j][i] = Point{(float64(i) + rng.Float64()) * pitch, (float64(j) + rng.Float64()) * pitch}
		}
	}
	out := make([]float32, grainSide*grainSide)
	for k := range out {
		x, y := float64(k%grainSide), float64(k/grainSide)
		ci, cj := int(x/pitch), int(y/pitch)
		first, second := farAway, farAway
		for dj := -1; dj <= 1; dj++ {
			for di := -1; di <= 1; di++ {
				s := seeds[(cj+dj+n)%n][(ci+di+n)%n]
				dx := math.Abs(s.X - x)
				dy := math.Abs(s.Y - y)
				dx, dy = min(dx, grainSide-dx), min(dy, grainSide-dy)
				d := dx*dx + dy*dy
				if d < first {
					first, second = d, first
				} else {
					second = min(second, d)
				}
			}
		}
		crease := min((math.Sqrt(second)-math.Sqrt(first))/4, 1)
		out[k] = float32(crease + 0.12*rng.NormFloat64())
	}
	standardise(out)
	return out
}

// grainAt returns the grain at a place in mm.
func grainAt(grain []float32, p Point) float64 {
	x, y := p.X/grainStep, p.Y/grainStep
	fx, fy := math.Floor(x), math.Floor(y)
	u, v := float32(x-fx), float32(y-fy)
	i, j := int(fx)&(grainSide-1), int(fy)&(grainSide-1)
	k, l := (i+1)&(grainSide-1), (j+1)&(grainSide-1)
	top := grain[j*grainSide+i]*(1-u) + grain[j*grainSide+k]*u
	bottom := grain[l*grainSide+i]*(1-u) + grain[l*grainSide+k]*u
	return float64(top*(1-v) + bottom*v)
}
