package picture

import "math"

// polygon is an outline to be filled. Lines, discs and plates all go clockwise as
// seen, because outlines that go round opposite ways make holes in each other.
type polygon []point

// stroke returns the shapes of a line of the given width along the points, round
// at its corners and ends.
func stroke(points []point, width float64) []polygon {
	var out []polygon
	for i, p := range points {
		out = append(out, disc(p, width/2))
		if i == 0 {
			continue
		}
		a := points[i-1]
		length := math.Hypot(p.x-a.x, p.y-a.y)
		if length == 0 {
			continue
		}
		nx, ny := -(p.y-a.y)/length*width/2, (p.x-a.x)/length*width/2
		out = append(out, polygon{{a.x - nx, a.y - ny}, {p.x - nx, p.y - ny}, {p.x + nx, p.y + ny}, {a.x + nx, a.y + ny}})
	}
	return out
}

// disc returns a round shape.
func disc(c point, radius float64) polygon {
	const sides = 16
	out := make(polygon, sides)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		out[i] = point{c.x + radius*cos, c.y + radius*sin}
	}
	return out
}

// closed returns the points with the first repeated at the end.
func closed(points []point) []point {
	return append(append([]point{}, points...), points[0])
}

// dash cuts the line along the points into the strokes of a pattern: lengths of
// strokes and gaps in turn. The pattern is stretched or squeezed to go round a
// whole number of times.
func dash(points []point, pattern []float64) [][]point {
	total, period := 0.0, 0.0
	for i := 1; i < len(points); i++ {
		total += math.Hypot(points[i].x-points[i-1].x, points[i].y-points[i-1].y)
	}
	for _, l := range pattern {
		period += l
	}
	if total == 0 || period <= 0 {
		return nil
	}
	fit := total / period / max(math.Round(total/period), 1)
	w := walker{points: points}
	var out [][]point
	for done, i := 0.0, 0; done < total-period*fit*1e-6; i++ {
		length := pattern[i%len(pattern)] * fit
		piece := w.advance(length)
		if i%2 == 0 {
			out = append(out, piece)
		}
		done += length
	}
	return out
}

// walker goes along a line.
type walker struct {
	points []point
	at     int     // the corner last passed
	beyond float64 // how far beyond it
}

// advance returns the stretch of the next length of the line.
func (w *walker) advance(length float64) []point {
	out := []point{w.here()}
	for w.at+1 < len(w.points) {
		a, b := w.points[w.at], w.points[w.at+1]
		left := math.Hypot(b.x-a.x, b.y-a.y) - w.beyond
		if length < left {
			w.beyond += length
			break
		}
		length -= left
		w.at, w.beyond = w.at+1, 0
		out = append(out, b)
	}
	return append(out, w.here())
}

func (w *walker) here() point {
	a := w.points[w.at]
	if w.at+1 == len(w.points) {
		return a
	}
	b := w.points[w.at+1]
	t := w.beyond / math.Hypot(b.x-a.x, b.y-a.y)
	return point{a.x + t*(b.x-a.x), a.y + t*(b.y-a.y)}
}
