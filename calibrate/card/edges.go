package card

import (
	"math"

	"evenhide/colour"
)

// edge is a short stretch of a printed border between ink and paper: a point on
// it, the direction from dark to light, and how far to either side nothing else
// is printed.
type edge struct {
	at     Point
	nx, ny float64
	reach  Millimetres
}

// symbolEdges returns the borders between modules of a code at the given place,
// one edge a module side, for the modules that wanted accepts.
func symbolEdges(s *symbol, at Point, wanted func(x, y int) bool) []edge {
	var out []edge
	place := func(x, y float64) Point { return Point{at.X + module*Millimetres(x), at.Y + module*Millimetres(y)} }
	for y := range codeModules {
		for x := range codeModules {
			if !s.at(x, y) || !wanted(x, y) {
				continue
			}
			for _, n := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				if s.at(x+n[0], y+n[1]) {
					continue
				}
				nx, ny := float64(n[0]), float64(n[1])
				out = append(out, edge{place(float64(x)+0.5+nx/2, float64(y)+0.5+ny/2), nx, ny, module / 2})
			}
		}
	}
	return out
}

// inCorner reports whether a module belongs to one of the three position patterns.
func inCorner(x, y int) bool {
	const far = codeModules - 7
	return x < 7 && y < 7 || x >= far && y < 7 || x < 7 && y >= far
}

// cornersOnly returns a code of which only the three position patterns are drawn.
func cornersOnly() *symbol {
	var s symbol
	for y := range s {
		for x := range s[y] {
			u, v := x%(codeModules-7), y%(codeModules-7)
			ring := max(max(u, 6-u), max(v, 6-v)) // 6 on the rim, 5 on the light ring
			s[y][x] = inCorner(x, y) && ring != 5
		}
	}
	return &s
}

// middleEdges returns the borders of what stands between the codes and is dark
// enough to be measured: the outside of the windows' angles and the outside of
// the dark half of each row of steps.
func (l Layout) middleEdges() []edge {
	const (
		apart = 1.5 // mm between edges along a border
		wide  = Millimetres(1)
		dark  = 60 // L* of the lightest step whose border with the paper is used
	)
	var out []edge
	along := func(from, to Point, nx, ny float64, reach Millimetres) {
		long := math.Hypot(float64(to.X-from.X), float64(to.Y-from.Y))
		n := int(long / apart)
		for i := range n {
			t := Millimetres((float64(i) + 0.5) / float64(n))
			out = append(out, edge{Point{from.X + t*(to.X-from.X), from.Y + t*(to.Y-from.Y)}, nx, ny, reach})
		}
	}
	for _, w := range []Box{l.Swatch, l.Hide} {
		o := w.Inset(-bracket)
		for _, bar := range angles(w) {
			c := bar.Corners()
			if bar.W > bar.H && bar.Y == o.Y {
				along(c[0], c[1], 0, -1, wide)
			} else if bar.W > bar.H {
				along(c[3], c[2], 0, 1, wide)
			} else if bar.X == o.X {
				along(c[0], c[3], -1, 0, wide)
			} else {
				along(c[1], c[2], 1, 0, wide)
			}
		}
	}
	for i, s := range l.Steps {
		c := s.Box.Corners()
		if s.L < dark {
			along(c[0], c[1], 0, -1, module/2)
			along(c[3], c[2], 0, 1, module/2)
		}
		if i == stepCount-1 { // the upper row ends in black, the lower begins with it
			along(c[1], c[2], 1, 0, module/2)
		} else if i == stepCount {
			along(c[0], c[3], -1, 0, module/2)
		}
	}
	return out
}

// light is a field's luminance, read between its cells. Places are in cells.
type light struct{ f *colour.Field }

// at returns the luminance at cell position x, y, and whether it is in the field.
func (l light) at(x, y float64) (float64, bool) {
	x, y = x-0.5, y-0.5
	if !(x >= 0 && y >= 0 && x <= float64(l.f.W-1) && y <= float64(l.f.H-1)) {
		return 0, false
	}
	x0, y0 := min(int(x), max(l.f.W-2, 0)), min(int(y), max(l.f.H-2, 0))
	tx, ty := x-float64(x0), y-float64(y0)
	x1, y1 := min(x0+1, l.f.W-1), min(y0+1, l.f.H-1)
	top := l.cell(x0, y0)*(1-tx) + l.cell(x1, y0)*tx
	low := l.cell(x0, y1)*(1-tx) + l.cell(x1, y1)*tx
	return top*(1-ty) + low*ty, true
}

func (l light) cell(x, y int) float64 {
	p := l.f.RGB[3*(y*l.f.W+x):]
	return luminance(p[0], p[1], p[2])
}

// luminance returns Y of a linear colour of the working space, rounded to the
// four digits of IEC 61966-2-1: enough to tell ink from paper.
func luminance(r, g, b float32) float64 { return float64(0.2126*r + 0.7152*g + 0.0722*b) }

const (
	maxProfile  = 25   // samples across an edge
	minContrast = 0.15 // (light - dark)/(light + dark) of an edge that counts; print on paper has 0.7 and more
)

// offset returns how far from e the border is seen, in millimetres towards the
// light side, when m maps millimetres to cells. ok is false where there is no
// such border, or not in the field.
func (l light) offset(m colour.Matrix, e edge) (mm float64, ok bool) {
	dx, dy := jacobian(m, e.at)
	cells := 2 * float64(e.reach) * math.Hypot(dx.X*e.nx+dy.X*e.ny, dx.Y*e.nx+dy.Y*e.ny)
	n := 2*(min(int(1.5*cells), maxProfile)/2) + 1
	if n < 5 {
		n = 5
	}
	var profile [maxProfile]float64
	pitch := 2 * float64(e.reach) / float64(n-1)
	for i := range n {
		t := float64(i)*pitch - float64(e.reach)
		p := project(m, Point{e.at.X + Millimetres(t*e.nx), e.at.Y + Millimetres(t*e.ny)})
		if profile[i], ok = l.at(p.X, p.Y); !ok {
			return 0, false
		}
	}
	i, ok := crossing(profile[:n])
	return i*pitch - float64(e.reach), ok
}

// crossing returns the index, with its fraction, at which a profile from dark to
// light passes half way between its ends; of several, the one nearest the middle.
func crossing(profile []float64) (float64, bool) {
	n := len(profile)
	dark, bright := (profile[0]+profile[1])/2, (profile[n-1]+profile[n-2])/2
	if !(bright-dark > minContrast*(bright+dark)) {
		return 0, false
	}
	half, best := (dark+bright)/2, math.Inf(1)
	for i := range n - 1 {
		if a, b := profile[i], profile[i+1]; a <= half && b > half {
			at := float64(i) + (half-a)/(b-a)
			if math.Abs(at-float64(n-1)/2) < math.Abs(best-float64(n-1)/2) {
				best = at
			}
		}
	}
	return best, !math.IsInf(best, 1)
}
