package calibrate

import (
	"math"
	"runtime"
	"sync"

	"evenhide/colour"
)

// nodes is a field at a reduced scale: squares of cells, each by its mean in
// developed log light. What is found is found here, and edges then in the cells.
type nodes struct {
	f     *colour.Field
	table *logTable
	w, h  int
	side  int          // cells along a node; a multiple of 4
	mean  [][3]float32 // as the camera wrote it
	log   [][3]float32 // developed, in the photo's own primaries
	bad   []bool       // clipped, or no light
	// noise is the standard deviation of the difference of neighbouring nodes on
	// the sheet, per channel in log light.
	noise [3]float64
}

// nodeCells is about how many nodes a field is cut into, as a quarter of a side:
// 50 000 for every field of three million cells, 8 cells along a side.
const nodeCells = 750_000

// mostClippedNode is the share of clipped pixels that a node may have: noise clips
// some of a bright sheet's, and moves its mean by less than 1 % up to here.
const mostClippedNode = 0.1

// darkest is the least developed value that is told from 0, in log light.
const darkest = 1e-4

func newNodes(f *colour.Field, develop func(colour.LinearRGB) colour.LinearRGB) *nodes {
	side := 4 * max(1, int(math.Round(math.Sqrt(float64(f.W)*float64(f.H)/nodeCells))))
	n := emptyNodes(f, side, newLogTable(develop))
	inBands(n.h, func(from, to int) {
		sums := make([][4]float32, n.w)
		for y := from; y < to; y++ {
			n.row(y, sums)
		}
	})
	n.noise = n.findNoise()
	return n
}

func emptyNodes(f *colour.Field, side int, t *logTable) *nodes {
	n := &nodes{f: f, table: t, side: side, w: (f.W + side - 1) / side, h: (f.H + side - 1) / side}
	n.mean, n.log, n.bad = make([][3]float32, n.w*n.h), make([][3]float32, n.w*n.h), make([]bool, n.w*n.h)
	return n
}

// coarser returns nodes of twice the side, with half the noise.
func (n *nodes) coarser() *nodes {
	c := emptyNodes(n.f, 2*n.side, n.table)
	for i := range c.mean {
		x, y := i%c.w*2, i/c.w*2
		count, bad := float32(0), float32(0)
		for v := y; v < min(y+2, n.h); v++ {
			for u := x; u < min(x+2, n.w); u++ {
				count++
				if n.bad[v*n.w+u] {
					bad++
				}
				for k, m := range n.mean[v*n.w+u] {
					c.mean[i][k] += m
				}
			}
		}
		c.bad[i] = 2*bad > count
		for k := range c.mean[i] {
			c.mean[i][k] /= count
		}
		c.log[i] = c.developed(c.mean[i])
	}
	c.noise = c.findNoise()
	return c
}

// inBands runs do over 0..n in as many bands as there are processors.
func inBands(n int, do func(from, to int)) {
	bands := min(runtime.GOMAXPROCS(0), max(n, 1))
	var wait sync.WaitGroup
	for b := range bands {
		wait.Go(func() { do(n*b/bands, n*(b+1)/bands) })
	}
	wait.Wait()
}

// row averages the nodes of row y, from every other row of cells: half the
// memory read, and still 32 cells to a node of 8.
func (n *nodes) row(y int, sums [][4]float32) {
	clear(sums)
	black := float32(math.Log(darkest))
	rows := 0
	for cy := y * n.side; cy < min((y+1)*n.side, n.f.H); cy += 2 {
		rows++
		row := n.f.RGB[3*cy*n.f.W:][:3*n.f.W]
		clipped := n.f.Clipped[cy*n.f.W:][:n.f.W]
		for x := range sums {
			from, to := x*n.side, min((x+1)*n.side, n.f.W)
			var r, g, b, c float32
			cells := row[3*from : 3*to]
			for i := 0; i+2 < len(cells); i += 3 {
				r, g, b = r+cells[i], g+cells[i+1], b+cells[i+2]
			}
			for _, v := range clipped[from:to] {
				c += float32(v)
			}
			s := &sums[x]
			s[0], s[1], s[2], s[3] = s[0]+r, s[1]+g, s[2]+b, s[3]+c
		}
	}
	for x, s := range sums {
		count := float32(rows * (min((x+1)*n.side, n.f.W) - x*n.side))
		i := y*n.w + x
		ok := s[3] <= mostClippedNode*255*count
		for k := range 3 {
			n.mean[i][k] = s[k] / count
		}
		n.log[i] = n.developed(n.mean[i])
		for _, l := range n.log[i] {
			ok = ok && l > black
		}
		n.bad[i] = !ok
	}
}

// developed returns the log light of a mean as the camera wrote it.
func (n *nodes) developed(mean [3]float32) (log [3]float32) {
	for k, v := range n.own(mean) {
		log[k] = n.table.at(k, v)
	}
	return log
}

// own returns a mean in the photo's own primaries.
func (n *nodes) own(mean [3]float32) [3]float32 {
	if n.f.Own == nil {
		return mean
	}
	v := n.f.Own.Apply([3]float64{float64(mean[0]), float64(mean[1]), float64(mean[2])})
	return [3]float32{float32(v[0]), float32(v[1]), float32(v[2])}
}

// redevelop works out the log light of every node by another tone curve.
func (n *nodes) redevelop(develop func(colour.LinearRGB) colour.LinearRGB) {
	n.table = newLogTable(develop)
	for i, mean := range n.mean {
		n.log[i] = n.developed(mean)
	}
}

// place returns the middle of node i in cells.
func (n *nodes) place(i int) Point {
	return Point{(float64(i%n.w) + .5) * float64(n.side), (float64(i/n.w) + .5) * float64(n.side)}
}

// inside marks the nodes whose middle lies in a polygon or within margin nodes of
// it.
func (n *nodes) inside(polygons []Polygon, margin int) []bool {
	in := make([]bool, n.w*n.h)
	for _, p := range polygons {
		for y := range n.h {
			from, to := p.across((float64(y) + .5) * float64(n.side))
			for i := 0; i < len(from); i++ {
				x0 := int(math.Ceil(max(from[i]/float64(n.side)-.5, 0)))
				for x := x0; x < n.w && (float64(x)+.5)*float64(n.side) <= to[i]; x++ {
					in[y*n.w+x] = true
				}
			}
		}
	}
	if margin > 0 {
		return n.grown(in, margin)
	}
	return in
}

// grown returns the nodes within reach of one that is in, in a square.
func (n *nodes) grown(in []bool, reach int) []bool { return n.around(in, true, reach) }

// shrunk returns the nodes that are in with all within reach round them; the world
// beyond the field counts as in.
func (n *nodes) shrunk(in []bool, reach int) []bool { return n.around(in, false, reach) }

// around spreads the value want by reach nodes, along rows and then along columns.
func (n *nodes) around(in []bool, want bool, reach int) []bool {
	mid, out := make([]bool, len(in)), make([]bool, len(in))
	since := make([]int, n.w) // nodes since want was last met, by column
	for y := range n.h {
		row, to := in[y*n.w:][:n.w], mid[y*n.w:][:n.w]
		last := -reach - 1
		for x, v := range row {
			to[x] = !want
			if v == want {
				for u := max(last+1, x-reach, 0); u <= x; u++ {
					to[u] = want
				}
				last = x
			} else if x-last <= reach {
				to[x] = want
			}
		}
	}
	for x := range since {
		since[x] = reach + 1
	}
	for y := range n.h {
		for x, v := range mid[y*n.w:][:n.w] {
			i := y*n.w + x
			switch {
			case v == want:
				for u := max(y-min(since[x], reach), 0); u < y; u++ {
					out[u*n.w+x] = want
				}
				since[x] = 0
				out[i] = want
			case since[x] < reach:
				since[x]++
				out[i] = want
			default:
				since[x]++
				out[i] = !want
			}
		}
	}
	return out
}

// logTable is the log of a development curve per channel, over the square root
// of the value: dark values lie closer.
type logTable [3][logSteps + 2]float32

const (
	logSteps = 1024
	logTop   = 1.44 // a channel beyond the working space's gamut
)

func newLogTable(develop func(colour.LinearRGB) colour.LinearRGB) *logTable {
	t := &logTable{}
	for i := range t[0] {
		s := float64(i) / logSteps
		v := s * s * logTop
		c := develop(colour.LinearRGB{R: v, G: v, B: v})
		for k, d := range [3]float64{c.R, c.G, c.B} {
			t[k][i] = float32(math.Log(max(d, darkest)))
		}
	}
	return t
}

func (t *logTable) at(k int, v float32) float32 {
	if !(v > 0) {
		return t[k][0]
	}
	s := float32(math.Sqrt(float64(min(v, logTop)/logTop))) * logSteps
	i := int(s)
	return t[k][i] + (s-float32(i))*(t[k][i+1]-t[k][i])
}
