package card

import (
	"encoding/json"
	"fmt"
	"testing"
)

// named returns every box of the layout that must keep clear of the others.
func named(l Layout) map[string]Box {
	out := map[string]Box{
		"left code": l.Codes[left].Inset(-quiet), "right code": l.Codes[right].Inset(-quiet),
		"swatch": l.Swatch.Inset(-bracket), "hide": l.Hide.Inset(-bracket), "scale": l.Scale,
	}
	for i, s := range l.Steps {
		out[fmt.Sprintf("step %d", i)] = s.Box
	}
	return out
}

// eps takes up the rounding of sums of millimetres.
const eps = Millimetres(1e-9)

func TestLayoutKeepsApart(t *testing.T) {
	l := NewLayout()
	boxes := named(l)
	for a, p := range boxes {
		if p.X < -eps || p.Y < -eps || p.X+p.W > l.W+eps || p.Y+p.H > l.H+eps {
			t.Errorf("%s %v reaches over the card's edge", a, p)
		}
		for b, q := range boxes {
			if a < b && p.X+p.W > q.X+eps && q.X+q.W > p.X+eps && p.Y+p.H > q.Y+eps && q.Y+q.H > p.Y+eps {
				t.Errorf("%s %v overlaps %s %v", a, p, b, q)
			}
		}
	}
}

func TestLayoutSizes(t *testing.T) {
	l := NewLayout()
	if l.W > 210-2*10 || l.H > 70 {
		t.Errorf("card is %v × %v mm, too large for an upright page with 10 mm of margin", l.W, l.H)
	}
	if l.Swatch.W < 25 || l.Swatch.H < 25 || l.Hide.W < 25 || l.Hide.H < 25 {
		t.Errorf("windows are %v and %v, wanted 25 mm", l.Swatch, l.Hide)
	}
	if len(l.Steps) != 2*stepCount || stepCount < 10 {
		t.Fatalf("%d steps, wanted twice ten or more", len(l.Steps))
	}
	for i, s := range l.Steps[:stepCount] {
		twin := l.Steps[2*stepCount-1-i]
		if s.L != twin.L || s.Fill != twin.Fill {
			t.Errorf("step %d is %v above and %v below", i, s, twin)
		}
		if i > 0 && (s.L >= l.Steps[i-1].L || s.Fill >= l.Steps[i-1].Fill) {
			t.Errorf("step %d is not darker than the one before: %v", i, s)
		}
	}
	if first, last := l.Steps[0], l.Steps[stepCount-1]; first.Fill != 255 || last.Fill != 0 || first.L != paperL || last.L != blackL {
		t.Errorf("rows run from %v to %v, wanted bare paper to black", first, last)
	}
}

func TestAnglesStandOutsideTheWindow(t *testing.T) {
	w := NewLayout().Hide
	bars := angles(w)
	if len(bars) != 8 {
		t.Fatalf("%d bars, wanted 8", len(bars))
	}
	for _, b := range bars {
		if b.X+b.W > w.X+eps && b.X < w.X+w.W-eps && b.Y+b.H > w.Y+eps && b.Y < w.Y+w.H-eps {
			t.Errorf("%v reaches into the window %v", b, w)
		}
		o := w.Inset(-bracket - eps)
		if b.X < o.X || b.Y < o.Y || b.X+b.W > o.X+o.W || b.Y+b.H > o.Y+o.H {
			t.Errorf("%v stands off the window %v", b, w)
		}
	}
}

func TestGeometryJSON(t *testing.T) {
	l := NewLayout()
	text, err := l.Geometry()
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Size  [2]float64   `json:"size_mm"`
		Codes [][3]float64 `json:"codes"`
		Steps []struct {
			Box [4]float64 `json:"box"`
			L   *float64   `json:"L"`
		} `json:"steps"`
		Windows map[string][4]float64 `json:"windows"`
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if got.Size != [2]float64{190, 62} || len(got.Codes) != 2 || len(got.Steps) != 24 || len(got.Windows) != 2 {
		t.Errorf("geometry %s", text)
	}
	if w := got.Windows["hide"]; Millimetres(w[0]) != l.Hide.X || Millimetres(w[3]) != l.Hide.H {
		t.Errorf("hide window %v, wanted %v", w, l.Hide)
	}
	if s := got.Steps[23]; s.L == nil || *s.L != paperL || s.Box[0] != float64(l.Steps[23].Box.X) {
		t.Errorf("last step %v", s)
	}
}
