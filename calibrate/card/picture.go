package card

import (
	"math"
	"sync"

	"evenhide/colour"
)

// picture is a field made small and grey, evenly spaced to the eye, and cut into
// ink and paper.
type picture struct {
	w, h int
	cell int // field cells along a pixel's side
	grey []uint8
	dark []bool
}

// newPicture averages a sample of each cell×cell block of field cells: its first
// and middle columns and rows, which is the whole block for 1 and 2.
func newPicture(f *colour.Field, cell int) *picture {
	p := &picture{w: f.W / cell, h: f.H / cell, cell: cell}
	p.grey, p.dark = make([]uint8, p.w*p.h), make([]bool, p.w*p.h)
	half := cell / 2
	p.rows(func(y int) {
		upper := f.RGB[3*y*cell*f.W:]
		lower := f.RGB[3*(y*cell+half)*f.W:]
		for x := range p.w {
			i, j := 3*x*cell, 3*(x*cell+half)
			// Square root: close to how L* spaces greys, and quick.
			sum := weigh(upper[i:i+3]) + weigh(upper[j:j+3]) + weigh(lower[i:i+3]) + weigh(lower[j:j+3])
			p.grey[y*p.w+x] = uint8(255 * math.Sqrt(float64(min(max(sum/4, 0), 1))))
		}
	})
	p.cut()
	return p
}

func weigh(c []float32) float32 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }

// rows calls do for every row, on two processors.
func (p *picture) rows(do func(y int)) {
	var wait sync.WaitGroup
	for _, part := range [2][2]int{{0, p.h / 2}, {p.h / 2, p.h}} {
		wait.Go(func() {
			for y := part[0]; y < part[1]; y++ {
				do(y)
			}
		})
	}
	wait.Wait()
}

const (
	blockSide = 8  // pixels; a corner pattern of a code is 18 to 60 pixels wide
	around    = 3  // blocks to each side that share a threshold
	minRange  = 28 // greys between the darkest and lightest pixel of a block with print in it
)

// cut marks the pixels that are darker than the mean of the blocks around them
// that have both ink and paper. Where there are none, everything is paper.
func (p *picture) cut() {
	bw, bh := (p.w+blockSide-1)/blockSide, (p.h+blockSide-1)/blockSide
	// Summed-area tables of the busy blocks' means and of their number.
	sums, counts := make([]int, (bw+1)*(bh+1)), make([]int, (bw+1)*(bh+1))
	for by := range bh {
		for bx := range bw {
			mean, busy := p.block(bx*blockSide, by*blockSide)
			at := (by+1)*(bw+1) + bx + 1
			sums[at] = sums[at-1] + sums[at-bw-1] - sums[at-bw-2]
			counts[at] = counts[at-1] + counts[at-bw-1] - counts[at-bw-2]
			if busy {
				sums[at] += mean
				counts[at]++
			}
		}
	}
	p.rows(func(y int) {
		top, low := max(y/blockSide-around, 0), min(y/blockSide+around+1, bh)
		for bx := range bw {
			west, east := max(bx-around, 0), min(bx+around+1, bw)
			area := func(table []int) int {
				return table[low*(bw+1)+east] - table[top*(bw+1)+east] - table[low*(bw+1)+west] + table[top*(bw+1)+west]
			}
			n := area(counts)
			if n == 0 {
				continue
			}
			threshold := uint8(area(sums) / n)
			for i := y*p.w + bx*blockSide; i < y*p.w+min((bx+1)*blockSide, p.w); i++ {
				p.dark[i] = p.grey[i] < threshold
			}
		}
	})
}

// block returns the mean grey of the block at x, y and whether its greys differ.
func (p *picture) block(x0, y0 int) (mean int, busy bool) {
	lo, hi, sum, n := uint8(255), uint8(0), 0, 0
	for y := y0; y < min(y0+blockSide, p.h); y++ {
		for _, g := range p.grey[y*p.w+x0 : y*p.w+min(x0+blockSide, p.w)] {
			lo, hi = min(lo, g), max(hi, g)
			sum += int(g)
			n++
		}
	}
	return sum / n, int(hi)-int(lo) > minRange
}

func (p *picture) isDark(x, y int) bool {
	return x >= 0 && y >= 0 && x < p.w && y < p.h && p.dark[y*p.w+x]
}
