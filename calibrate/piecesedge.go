package calibrate

import (
	"bytes"
	"image"
	"math"

	"evenhide/colour/surface"
)

// quarters is how many parts a node's side is cut into where an edge runs.
const quarters = 4

// mask is a blob at quarters of nodes: 1 inside.
type mask struct {
	at   image.Point // of the first quarter, in quarters of the field
	w, h int
	in   []uint8
}

// piece finds the edge of a blob and fills in everything about it.
func (s *Sheet) piece(b *blob, margin float64) Piece {
	m, edge := s.sharpen(b)
	q := s.n.side / quarters
	p := Piece{Edge: edge}
	p.Outline = m.outline(b, q)
	p.Area = p.Outline.area()
	p.Box = p.Outline.box().Intersect(s.n.f.Bounds())
	m.cut(b)
	p.Region = m.shrunk(margin/float64(q)).region(q, s.n.f.Bounds())
	p.Faults, p.Beside = s.faults(b, p), s.misfit(b.round.sides[:]...)
	return p
}

// sharpen draws the blob at quarters of nodes. On its rim a quarter is in when its
// colour is nearer to the inside of the piece there than to what lies outside
// there, sheet or shadow: half way in linear light is where an edge is. It returns
// how wide the edge is, in cells.
func (s *Sheet) sharpen(b *blob) (m *mask, edge float64) {
	w, h := b.box.Dx(), b.box.Dy()
	m = &mask{at: b.box.Min.Mul(quarters), w: w * quarters, h: h * quarters}
	m.in = make([]uint8, m.w*m.h)
	between, rim := 0, 0
	for y := 1; y < h-1; y++ {
		for x := 1; x < w-1; x++ {
			i := y*w + x
			alike := true
			for _, j := range [8]int{i - 1, i + 1, i - w, i + w, i - w - 1, i - w + 1, i + w - 1, i + w + 1} {
				alike = alike && b.in[j] == b.in[i]
			}
			if alike {
				if b.in[i] {
					m.paint(x, y)
				}
				continue
			}
			if b.in[i] {
				rim++
			}
			between += s.split(b, m, x, y)
		}
	}
	q := float64(s.n.side) / quarters
	return m, float64(between) * q / float64(max(rim*quarters, 1))
}

// paint sets all quarters of a node.
func (m *mask) paint(x, y int) {
	for j := range quarters {
		row := m.in[(y*quarters+j)*m.w+x*quarters:][:quarters]
		for i := range row {
			row[i] = 1
		}
	}
}

// split decides on the quarters of a node on the rim and returns how many are
// neither clearly in nor clearly out.
func (s *Sheet) split(b *blob, m *mask, x, y int) (between int) {
	inside, outside, ok := s.sides(b, x, y)
	p := image.Pt(x, y).Add(b.box.Min)
	if !ok || p.X < 0 || p.Y < 0 || p.X >= s.n.w || p.Y >= s.n.h {
		if b.in[y*b.box.Dx()+x] && image.Pt(p.X, p.Y).In(image.Rect(0, 0, s.n.w, s.n.h)) {
			m.paint(x, y)
		}
		return 0
	}
	var d [3]float32
	length := float32(0)
	for k := range d {
		d[k] = inside[k] - outside[k]
		length += d[k] * d[k]
	}
	f, q := s.n.f, s.n.side/quarters
	for j := range quarters {
		for i := range quarters {
			cells := image.Rect(0, 0, q, q).Add(image.Pt(p.X*quarters+i, p.Y*quarters+j).Mul(q)).Intersect(f.Bounds())
			if cells.Empty() {
				continue
			}
			t := float32(0)
			for cy := cells.Min.Y; cy < cells.Max.Y; cy++ {
				row := f.RGB[3*(cy*f.W+cells.Min.X) : 3*(cy*f.W+cells.Max.X)]
				for ; len(row) >= 3; row = row[3:] {
					t += (row[0]-outside[0])*d[0] + (row[1]-outside[1])*d[1] + (row[2]-outside[2])*d[2]
				}
			}
			t /= length * float32(cells.Dx()*cells.Dy())
			if t > .5 {
				m.in[(y*quarters+j)*m.w+x*quarters+i] = 1
			}
			if t > .2 && t < .8 {
				between++
			}
		}
	}
	return between
}

// sides returns the mean colours, as the camera wrote them, of the piece and of
// what is not the piece near a node of the rim, nodes on the rim itself left out.
func (s *Sheet) sides(b *blob, x, y int) (inside, outside [3]float32, ok bool) {
	const reach = 3
	w, h := b.box.Dx(), b.box.Dy()
	var sums [2][3]float32
	var counts [2]float32
	for v := max(y-reach, 1); v <= min(y+reach, h-2); v++ {
		for u := max(x-reach, 1); u <= min(x+reach, w-2); u++ {
			i := v*w + u
			p := image.Pt(u, v).Add(b.box.Min)
			in := b.in[i]
			if p.X < 0 || p.Y < 0 || p.X >= s.n.w || p.Y >= s.n.h || b.out[i] ||
				b.in[i-1] != in || b.in[i+1] != in || b.in[i-w] != in || b.in[i+w] != in {
				continue
			}
			side := 0
			if in {
				side = 1
			}
			c := s.n.mean[p.Y*s.n.w+p.X]
			for k, value := range c {
				sums[side][k] += value
			}
			counts[side]++
		}
	}
	if counts[0] == 0 || counts[1] == 0 {
		return inside, outside, false
	}
	for k := range inside {
		outside[k], inside[k] = sums[0][k]/counts[0], sums[1][k]/counts[1]
	}
	return inside, outside, true
}

// outline follows the edge of the mask, from somewhere on the left of the blob's
// middle, and returns it in cells.
func (m *mask) outline(b *blob, q int) Polygon {
	start := m.inner(b)
	for x := start.X; x >= 0; x-- {
		if m.in[start.Y*m.w+x] == 1 && m.in[start.Y*m.w+x-1] == 0 {
			if p := m.trace(image.Pt(x, start.Y)); p.signed() > 0 { // else the rim of a speck of nothing
				p = p.simple(.8)
				for i := range p {
					p[i].X = (p[i].X + float64(m.at.X)) * float64(q)
					p[i].Y = (p[i].Y + float64(m.at.Y)) * float64(q)
				}
				return p
			}
		}
	}
	return nil
}

// inner returns a quarter well inside the blob.
func (m *mask) inner(b *blob) image.Point {
	w := b.box.Dx()
	for i := w + 1; i < len(b.in)-w-1; i++ {
		if b.in[i] && b.in[i-1] && b.in[i+1] && b.in[i-w] && b.in[i+w] &&
			b.in[i-w-1] && b.in[i-w+1] && b.in[i+w-1] && b.in[i+w+1] {
			return image.Pt(i%w*quarters, i/w*quarters)
		}
	}
	return image.Point{}
}

// trace walks along the edge between in and out with the inside on its right, from
// the left side of p upwards, and returns the corners.
func (m *mask) trace(p image.Point) Polygon {
	has := func(x, y int) bool { return x >= 0 && y >= 0 && x < m.w && y < m.h && m.in[y*m.w+x] == 1 }
	x, y := p.X, p.Y+1 // corners; the first step goes up along p's left side
	dx, dy := 0, -1
	var out Polygon
	for step := range 4 * len(m.in) {
		// The squares ahead, left and right of the direction.
		lx, ly := x+(dx+dy-1)/2, y+(dy-dx-1)/2
		rx, ry := x+(dx-dy-1)/2, y+(dy+dx-1)/2
		switch {
		case !has(rx, ry): // turn right
			out = append(out, Point{float64(x), float64(y)})
			dx, dy = -dy, dx
		case has(lx, ly): // turn left
			out = append(out, Point{float64(x), float64(y)})
			dx, dy = dy, -dx
		}
		if step > 0 && x == p.X && y == p.Y+1 && dx == 0 && dy == -1 {
			break
		}
		x, y = x+dx, y+dy
	}
	return out
}

// cut takes the nodes that are left out off the mask.
func (m *mask) cut(b *blob) {
	w := b.box.Dx()
	for i, out := range b.out {
		if !out {
			continue
		}
		for j := range quarters {
			clear(m.in[(i/w*quarters+j)*m.w+i%w*quarters:][:quarters])
		}
	}
}

// run is a stretch of a row.
type run struct{ from, to int }

// rows returns the stretches of every row that are in.
func (m *mask) rows() [][]run {
	rows := make([][]run, m.h)
	all := make([]run, 0, 2*m.h)
	for y := range rows {
		from := len(all)
		row := m.in[y*m.w:][:m.w]
		for x := 0; ; {
			i := bytes.IndexByte(row[x:], 1)
			if i < 0 {
				break
			}
			start := x + i
			if i = bytes.IndexByte(row[start:], 0); i < 0 {
				i = m.w - start
			}
			x = start + i
			all = append(all, run{start, x})
		}
		rows[y] = all[from:len(all):len(all)]
	}
	return rows
}

// shrunk returns the mask less a margin in quarters: what a disc of that radius
// round it lies wholly within.
func (m *mask) shrunk(margin float64) *mask {
	r := int(math.Ceil(margin))
	rows := m.rows()
	out := &mask{at: m.at, w: m.w, h: m.h, in: make([]uint8, len(m.in))}
	var left, next []run
	for y := range rows {
		left = append(left[:0], rows[y]...)
		for dy := -r; dy <= r && len(left) > 0; dy++ {
			if y+dy < 0 || y+dy >= m.h {
				left = left[:0]
				break
			}
			by := int(math.Sqrt(max(margin*margin-float64(dy*dy), 0)) + .5)
			next = next[:0]
			for _, a := range left {
				for _, b := range rows[y+dy] {
					if from, to := max(a.from, b.from+by), min(a.to, b.to-by); from < to {
						next = append(next, run{from, to})
					}
				}
			}
			left, next = next, left
		}
		for _, a := range left {
			row := out.in[y*m.w+a.from : y*m.w+a.to]
			for i := range row {
				row[i] = 1
			}
		}
	}
	return out
}

// region returns the mask in cells of the field, of which q make a quarter's side.
func (m *mask) region(q int, field image.Rectangle) surface.Region {
	box := image.Rectangle{}
	rows := m.rows()
	for y := range rows {
		for _, a := range rows[y] {
			box = box.Union(image.Rect(a.from, y, a.to, y+1))
		}
	}
	r := surface.Region{Rect: image.Rectangle{box.Min.Add(m.at).Mul(q), box.Max.Add(m.at).Mul(q)}.Intersect(field)}
	w := r.Rect.Dx()
	r.In = make([]bool, w*r.Rect.Dy())
	for y := r.Rect.Min.Y; y < r.Rect.Max.Y; y++ {
		row := r.In[(y-r.Rect.Min.Y)*w:][:w]
		for _, a := range rows[y/q-m.at.Y] {
			from, to := (a.from+m.at.X)*q-r.Rect.Min.X, min((a.to+m.at.X)*q-r.Rect.Min.X, w)
			for x := max(from, 0); x < to; x++ {
				row[x] = true
			}
		}
	}
	return r
}
