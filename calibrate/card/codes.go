package card

import (
	"math"

	"evenhide/colour"
)

// code is a code that was read: what it says and where it lies.
type code struct {
	text     codeText
	mirrored bool
	toCells  colour.Matrix // millimetres from the code's own top left corner to field cells
}

const maxTries = 150 // threes of patterns that are tried in one picture

// codes reads every code of ours among the patterns of a picture. A pattern
// serves one code only.
func (l light) codes(found []pattern) []code {
	var out []code
	corners := symbolEdges(cornersOnly(), Point{}, inCorner)
	tries := 0
	for a := range found {
		for b := range found {
			for c := range found {
				if found[a].used || found[b].used || found[c].used || tries >= maxTries {
					continue
				}
				if a == b || a == c || b == c || !squareCorner(found[a], found[b], found[c]) {
					continue
				}
				tries++
				if read, ok := l.readCode(found[a], found[b], found[c], corners); ok {
					found[a].used, found[b].used, found[c].used = true, true, true
					out = append(out, read)
				}
			}
		}
	}
	return out
}

// between is the distance between the middles of two position patterns, in modules.
const between = codeModules - 7

// squareCorner reports whether a, b and c can be the top left, top right and
// bottom left patterns of one code. The slack allows for 45° of tilt.
func squareCorner(a, b, c pattern) bool {
	ux, uy, vx, vy := b.x-a.x, b.y-a.y, c.x-a.x, c.y-a.y
	u, v := math.Hypot(ux, uy), math.Hypot(vx, vy)
	if u > 1.6*v || v > 1.6*u || ux*vy-uy*vx < 0.85*u*v {
		return false
	}
	for _, pair := range [2]struct {
		p            pattern
		x, y, length float64
	}{{b, ux, uy, u}, {c, vx, vy, v}} {
		// A module is measured along the axes; a turned one looks longer there.
		turn := max(math.Abs(pair.x), math.Abs(pair.y)) / pair.length
		for _, m := range [2]float64{a.module, pair.p.module} {
			if r := pair.length / (between * m * turn); r < 0.65 || r > 1.5 {
				return false
			}
		}
	}
	return true
}

// readCode reads the code of which a, b and c are the patterns. First the place
// is fitted to the patterns' edges, then each module is sampled.
func (l light) readCode(a, b, c pattern, corners []edge) (code, bool) {
	const mid = 3.5 * float64(module)
	far := mid + between*float64(module)
	ux, uy := (b.x-a.x)/(far-mid), (b.y-a.y)/(far-mid)
	vx, vy := (c.x-a.x)/(far-mid), (c.y-a.y)/(far-mid)
	start := colour.Matrix{{ux, vx, a.x - mid*(ux+vx)}, {uy, vy, a.y - mid*(uy+vy)}, {0, 0, 1}}
	places := []colour.Matrix{start}
	if fit, ok := l.refine(start, corners, 3); ok {
		places = []colour.Matrix{fit.toCells, start}
	}
	for _, place := range places {
		text, mirrored, ok := l.readAt(place)
		if !ok {
			continue
		}
		parsed, ok := parseCodeText(text)
		return code{parsed, mirrored, place}, ok
	}
	return code{}, false
}

// readAt returns the text of the code that m places in the field. A blurred
// photo is tried again with more and more of the blur taken back.
func (l light) readAt(m colour.Matrix) (text string, mirrored, ok bool) {
	levels, ok := l.modules(m)
	if !ok {
		return "", false, false
	}
	for _, sharpen := range [3]float64{0, 0.3, 1} {
		if text, mirrored, ok = levels.cut(sharpen).read(); ok {
			return text, mirrored, true
		}
	}
	return "", false, false
}

// levels are the luminances of a code's modules and of one module around them.
type levels [codeModules + 2][codeModules + 2]float64

// modules samples the code that m places in the field. ok is false when it is
// not wholly in the field.
func (l light) modules(m colour.Matrix) (out *levels, ok bool) {
	out = new(levels)
	for y := range out {
		for x := range out[y] {
			sum := 0.0
			for _, d := range [5][2]float64{{0, 0}, {-.2, -.2}, {.2, -.2}, {-.2, .2}, {.2, .2}} {
				p := project(m, Point{module * Millimetres(float64(x)-0.5+d[0]), module * Millimetres(float64(y)-0.5+d[1])})
				v, ok := l.at(p.X, p.Y)
				if !ok {
					return nil, false
				}
				sum += v
			}
			out[y][x] = sum / 5
		}
	}
	return out, true
}

// cut tells ink from paper. Before that, sharpen times the difference to the four
// neighbours is added to each module, which takes back a blur of about a module.
func (l *levels) cut(sharpen float64) *symbol {
	var level [codeModules][codeModules]float64
	for y := range level {
		for x := range level[y] {
			u, v := x+1, y+1
			level[y][x] = l[v][u] + sharpen*(4*l[v][u]-l[v-1][u]-l[v+1][u]-l[v][u-1]-l[v][u+1])
			level[y][x] = math.Sqrt(max(level[y][x], 0))
		}
	}
	const reach = 3 // modules; three to each side always hold both ink and paper
	var s symbol
	for y := range s {
		for x := range s[y] {
			lo, hi := math.Inf(1), math.Inf(-1)
			for v := max(y-reach, 0); v <= min(y+reach, codeModules-1); v++ {
				for u := max(x-reach, 0); u <= min(x+reach, codeModules-1); u++ {
					lo, hi = min(lo, level[v][u]), max(hi, level[v][u])
				}
			}
			s[y][x] = level[y][x] < (lo+hi)/2
		}
	}
	return &s
}

// corners returns where the corners of the code lie, clockwise from its top left.
func (c code) corners() [4]Pixel {
	var out [4]Pixel
	for i, p := range (Box{0, 0, codeSide, codeSide}).Corners() {
		out[i] = project(c.toCells, p)
	}
	return out
}
