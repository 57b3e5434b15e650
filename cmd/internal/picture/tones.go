package picture

import (
	"math"

	"evenhide/colour"
)

// tones holds what developing does to each channel's light, at a net of places
// over the photo: a calibration takes a few hundred nanoseconds a pixel, and a
// picture has two million. It stands in for the calibration only where that
// treats channels apart and changes slowly over the photo; see trusted.
type tones struct {
	places
	// byte is the developed byte, for each node of the net, channel and level.
	byte []float32
}

// The net's nodes across and down, the levels of light, evenly spaced in its
// square root, and the light of the last.
const (
	netX, netY = 13, 10
	levels     = 128
	lightTop   = 1.3 // strong colours of a wide space go above 1
	nodeSize   = 3 * levels
)

// places says between which two of the net's columns each pixel of a row lies,
// and how far towards the second; rows likewise.
type places struct{ x, y []float32 }

func newPlaces(pixels, nodes int) []float32 {
	out := make([]float32, pixels)
	for i := range out {
		// Below the last node, so that the next one is always there.
		out[i] = min((float32(i)+.5)/float32(pixels)*float32(nodes-1), float32(nodes-1)*(1-1e-6))
	}
	return out
}

func (d darkroom) tones() tones {
	t := tones{places{newPlaces(d.photo.Dx(), netX), newPlaces(d.photo.Dy(), netY)}, make([]float32, netX*netY*nodeSize)}
	for n := range netX * netY {
		x := float64(n%netX) / (netX - 1) * float64(d.cells.X)
		y := float64(n/netX) / (netY - 1) * float64(d.cells.Y)
		node := t.byte[n*nodeSize:][:nodeSize]
		for i := range levels {
			root := float64(i) / (levels - 1)
			light := root * root * lightTop
			for k, b := range d.bytes(d.dev(x, y, colour.LinearRGB{R: light, G: light, B: light})) {
				node[k*levels+i] = b
			}
		}
	}
	return t
}

// print writes row y of the photo.
func (t tones) print(out []uint8, row []float32, y int) {
	nodes := t.line(y)
	for x, at := range t.x {
		node := int(at)
		share := at - float32(node)
		left := (*pair)(nodes[node*nodeSize:])
		p, v := out[4*x:4*x+4], row[3*x:3*x+3]
		p[0] = uint8(left.tone(0, v[0], share) + .5)
		p[1] = uint8(left.tone(levels, v[1], share) + .5)
		p[2] = uint8(left.tone(2*levels, v[2], share) + .5)
		p[3] = 255
	}
}

// line returns the net's nodes along row y of the photo.
func (t tones) line(y int) []float32 {
	above := int(t.y[y])
	share := t.y[y] - float32(above)
	a := t.byte[above*netX*nodeSize:][:netX*nodeSize]
	b := t.byte[(above+1)*netX*nodeSize:][:netX*nodeSize]
	out := make([]float32, netX*nodeSize)
	for i := range out {
		out[i] = a[i] + share*(b[i]-a[i])
	}
	return out
}

// pair is two neighbouring nodes.
type pair [2 * nodeSize]float32

// tone returns the byte, with its fraction, for light v, share of the way from
// the first node to the second; channel is where the channel's levels begin.
func (n *pair) tone(channel int, v, share float32) float32 {
	if !(v > 0) {
		v = 0
	}
	u := min(float32(math.Sqrt(float64(v*(1/lightTop))))*(levels-1), levels-1-1e-3)
	i := int(u)
	f := u - float32(i)
	i += channel
	a := n[i] + f*(n[i+1]-n[i])
	i += nodeSize
	b := n[i] + f*(n[i+1]-n[i])
	return a + share*(b-a)
}

// trusted reports whether the tones agree with the calibration itself at places
// all over the photo, in the colours found there, to within what nobody sees.
func (t tones) trusted(f *colour.Field, d darkroom) bool {
	const probes, most = 24, 2.5 // along each side; bytes
	sx, sy := d.scale()
	for j := range probes {
		py := (2*j + 1) * d.photo.Dy() / (2 * probes)
		y := (float64(py) + .5) / sy
		nodes := t.line(py)
		for i := range probes {
			px := (2*i + 1) * d.photo.Dx() / (2 * probes)
			x := (float64(px) + .5) / sx
			c := f.At(min(int(x), f.W-1), min(int(y), f.H-1))
			node := int(t.x[px])
			left := (*pair)(nodes[node*nodeSize:])
			want := d.bytes(d.dev(x, y, c))
			for k, v := range [3]float64{c.R, c.G, c.B} {
				got := left.tone(k*levels, float32(v), t.x[px]-float32(node))
				if !(math.Abs(float64(got-want[k])) <= most) {
					return false
				}
			}
		}
	}
	return true
}
