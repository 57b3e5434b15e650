package check

import (
	"image"
	"testing"

	"evenhide/calibrate/photo"
)

// Pieces are read in the light that the sheet shows beside them, zones in that of their
// piece, dabs in that of the sheet's surface.
func TestEachInItsLight(t *testing.T) {
	p, err := photo.Open("../../../testdata/demo/bench.jpg", photo.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Request{}.bench(p.Field)
	if err != nil {
		t.Fatal(err)
	}
	pieces, err := b.pieces()
	if err != nil || len(pieces) == 0 {
		t.Fatal(len(pieces), err)
	}
	for _, q := range pieces {
		if q.cal == nil || b.in(q) != q.cal {
			t.Errorf("piece %s has no light of its own", q.name)
		}
	}
	last := pieces[len(pieces)-1]
	r := last.region.Rect
	inside := image.Rect(r.Min.X+r.Dx()/3, r.Min.Y+r.Dy()/3, r.Max.X-r.Dx()/3, r.Max.Y-r.Dy()/3)
	k := b.field.Cell
	b.rq.Zones = []Place{{Name: "fold", Rect: image.Rect(inside.Min.X*k, inside.Min.Y*k, inside.Max.X*k, inside.Max.Y*k)}}
	if zones := b.zones(pieces); len(zones) != 1 || zones[0].cal != last.cal || !zones[0].zone {
		t.Errorf("the zone is not in the light of its piece")
	}
	dabs, err := b.dabsOnSheet()
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range dabs {
		if b.in(d) != b.cal {
			t.Errorf("dab %s is not in the light of the sheet's surface", d.name)
		}
	}
}
