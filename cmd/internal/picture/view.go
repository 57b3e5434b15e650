package picture

import (
	"image"
	"math"

	"evenhide/colour"
	"evenhide/colour/surface"
)

// point is a place in the picture, in pixels.
type point struct{ x, y float64 }

// view says where the field's cells lie in the picture.
type view struct {
	cells  image.Point     // of the field
	photo  image.Rectangle // in the picture
	ground image.Rectangle // the photo and the ground about it, from 0,0
}

func newView(f *colour.Field, long int) view {
	var v view
	if f != nil && f.W > 0 && f.H > 0 && len(f.RGB) >= 3*f.W*f.H {
		v.cells = image.Pt(f.W, f.H)
	}
	scale := float64(long) / float64(max(v.cells.X, v.cells.Y, 1))
	w := int(math.Ceil(float64(v.cells.X)*scale - .5))
	h := int(math.Ceil(float64(v.cells.Y)*scale - .5))
	if v.cells.X > 0 {
		w, h = max(w, 1), max(h, 1)
	}
	least := int(leastSide * float64(long))
	v.ground = image.Rect(0, 0, max(w, least), max(h, least))
	v.photo = image.Rect(0, 0, w, h).Add(image.Pt((v.ground.Dx()-w)/2, (v.ground.Dy()-h)/2))
	return v
}

// extended returns the view with a band of ground more, below the photo or, where it is
// tall, beside it, in which a row of plates finds room.
func (v view) extended() view {
	const band = .2 // of the long side
	more := int(band * float64(max(v.ground.Dx(), v.ground.Dy())))
	if v.ground.Dx() >= v.ground.Dy() {
		v.ground.Max.Y += more
	} else {
		v.ground.Max.X += more
	}
	return v
}

// trimmed returns the extended view with no more ground than least and the plates take.
func (v view) trimmed(least view, plates []plate, gap int) view {
	used := least.ground
	for _, pl := range plates {
		if !pl.box.Empty() {
			used = used.Union(pl.box.Inset(-gap))
		}
	}
	v.ground = v.ground.Intersect(used)
	return v
}

// scale returns pixels per cell.
func (v view) scale() (x, y float64) {
	if v.cells.X == 0 {
		return 1, 1
	}
	return float64(v.photo.Dx()) / float64(v.cells.X), float64(v.photo.Dy()) / float64(v.cells.Y)
}

// at returns where the corner c of the field lies. What lies far outside is
// brought near, so that no outline is longer than a few pictures.
func (v view) at(c surface.Corner) point {
	sx, sy := v.scale()
	far := 2 * float64(max(v.ground.Dx(), v.ground.Dy()))
	return point{
		min(max(float64(v.photo.Min.X)+c.X*sx, -far), far),
		min(max(float64(v.photo.Min.Y)+c.Y*sy, -far), far),
	}
}

// outline returns the mark's outline in the picture, without corners closer
// than a pixel to the one before; nil when it encloses nothing or is not finite.
func (v view) outline(corners []surface.Corner) []point {
	var out []point
	for _, c := range corners {
		if math.IsNaN(c.X) || math.IsInf(c.X, 0) || math.IsNaN(c.Y) || math.IsInf(c.Y, 0) {
			return nil
		}
		p := v.at(c)
		if n := len(out); n == 0 || math.Hypot(p.x-out[n-1].x, p.y-out[n-1].y) >= 1 {
			out = append(out, p)
		}
	}
	for len(out) > 1 && math.Hypot(out[0].x-out[len(out)-1].x, out[0].y-out[len(out)-1].y) < 1 {
		out = out[:len(out)-1]
	}
	if len(out) < 3 {
		return nil
	}
	return out
}

// bounds returns the smallest rectangle of whole pixels about the points.
func bounds(points []point) image.Rectangle {
	var r image.Rectangle
	for i, p := range points {
		q := image.Rect(int(math.Floor(p.x)), int(math.Floor(p.y)), int(math.Floor(p.x))+1, int(math.Floor(p.y))+1)
		if i == 0 {
			r = q
		}
		r = r.Union(q)
	}
	return r
}
