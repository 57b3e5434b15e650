package card

import (
	"cmp"
	"math"
	"slices"
)

// pattern is a place that looks like one of a code's three position patterns: a
// dark square in a light ring in a dark ring, so that every line through its
// middle is cut 1:1:3:1:1.
type pattern struct {
	x, y   float64 // middle, in field cells
	module float64 // a module along the picture's axes, in field cells
	times  int     // rows in which it was seen
	used   bool
}

const maxPatterns = 60 // more are noise; the ones seen in most rows are kept

// patterns returns the picture's position patterns, the surest first.
func (p *picture) patterns() []pattern {
	var found []pattern
	starts := make([]int, 0, p.w+2) // where each run of the row begins, light first
	for y := range p.h {
		starts = append(starts[:0], 0)
		row, dark := p.dark[y*p.w:(y+1)*p.w], false
		for x, d := range row {
			if d != dark {
				starts, dark = append(starts, x), d
			}
		}
		starts = append(starts, p.w)
		for i := 1; i+5 < len(starts); i += 2 {
			var runs [5]int
			for k := range runs {
				runs[k] = starts[i+k+1] - starts[i+k]
			}
			if !fiveRuns(runs) {
				continue
			}
			if c, ok := p.confirm(float64(starts[i+2]+starts[i+3])/2, y, starts[i+5]-starts[i]); ok {
				found = remember(found, c)
			}
		}
	}
	slices.SortStableFunc(found, func(a, b pattern) int { return cmp.Compare(b.times, a.times) })
	found = found[:min(len(found), maxPatterns)]
	for i := range found {
		found[i].x *= float64(p.cell)
		found[i].y *= float64(p.cell)
		found[i].module *= float64(p.cell)
	}
	return found
}

// fiveRuns reports whether lengths are near enough 1:1:3:1:1. Half a module off,
// and half a pixel for the grid, is near enough.
func fiveRuns(runs [5]int) bool {
	total := 0
	for _, r := range runs {
		total += r
	}
	if total < 7 {
		return false
	}
	m := float64(total) / 7
	off := m/2 + 0.5
	for i, r := range runs {
		want := m
		if i == 2 {
			want = 3 * m
		}
		if math.Abs(float64(r)-want) >= off {
			return false
		}
	}
	return true
}

// confirm looks along the column through the middle of five runs in row y, and
// along the row again through the middle so found.
func (p *picture) confirm(x float64, y, wide int) (pattern, bool) {
	top, bottom, tall, ok := p.across(int(x), y, 0, 1, wide)
	if !ok {
		return pattern{}, false
	}
	middle := float64(y) + float64(bottom-top)/2 + 0.5
	left, right, wide, ok := p.across(int(x), int(middle), 1, 0, wide)
	if !ok {
		return pattern{}, false
	}
	return pattern{x: math.Floor(x) + float64(right-left)/2 + 0.5, y: middle, module: float64(tall+wide) / 14, times: 1}, true
}

// across counts the five runs through the dark pixel x, y along the direction.
// back and ahead are the pixels of the middle run to either side of it, total is
// the length of all five, which may not differ from like by more than 2 to 1.
func (p *picture) across(x, y, dx, dy, like int) (back, ahead, total int, ok bool) {
	if !p.isDark(x, y) {
		return 0, 0, 0, false
	}
	var runs [5]int
	arm := func(sign, first int) int {
		i, dark, reach := first, true, 0
		for k := 1; k <= like; k++ {
			px, py := x+sign*k*dx, y+sign*k*dy
			if px < 0 || py < 0 || px >= p.w || py >= p.h {
				break
			}
			if p.dark[py*p.w+px] != dark {
				if i += sign; i < 0 || i > 4 {
					break
				}
				dark = !dark
			}
			runs[i]++
			if i == 2 {
				reach = k
			}
		}
		return reach
	}
	back = arm(-1, 2)
	ahead = arm(1, 2)
	runs[2]++
	for _, r := range runs {
		total += r
	}
	return back, ahead, total, fiveRuns(runs) && total < 2*like && 2*total > like
}

// remember adds c to the patterns, or to the one it repeats.
func remember(found []pattern, c pattern) []pattern {
	for i := range found {
		f := &found[i]
		if math.Abs(f.x-c.x) < f.module*1.5 && math.Abs(f.y-c.y) < f.module*1.5 {
			n := float64(f.times)
			f.x, f.y = (f.x*n+c.x)/(n+1), (f.y*n+c.y)/(n+1)
			f.module = (f.module*n + c.module) / (n + 1)
			f.times++
			return found
		}
	}
	return append(found, c)
}
