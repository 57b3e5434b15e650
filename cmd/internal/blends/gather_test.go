package blends

import (
	"errors"
	"testing"

	"evenhide/cmd/internal/report"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour/dye"
	"evenhide/colour/tolerance"
)

// How far readings are believed against each other hangs on where they were read.
func TestModel(t *testing.T) {
	one := source{"a.jpg", "window", "phone", "C1"}
	with := func(change func(*source)) []source {
		other := one
		other.photo = "b.jpg"
		change(&other)
		return []source{one, other}
	}
	for name, c := range map[string]struct {
		sources []source
		same    bool
		want    tolerance.Model
	}{
		"one photo":      {[]source{one, one}, false, tolerance.InFrame()},
		"same light":     {with(func(*source) {}), false, tolerance.SameLight()},
		"other light":    {with(func(s *source) { s.light = "lamp" }), false, tolerance.OtherLight()},
		"other camera":   {with(func(s *source) { s.camera = "old phone" }), false, tolerance.OtherLight()},
		"other card":     {with(func(s *source) { s.card = "C2" }), false, tolerance.OtherLight()},
		"said":           {with(func(s *source) { s.light = "" }), true, tolerance.SameLight()},
		"unknown camera": {[]source{{"a.jpg", "window", "", "C1"}, {"b.jpg", "window", "", "C1"}}, false, tolerance.OtherLight()},
	} {
		b := Bench{sources: c.sources}
		if got := b.model(c.same); got != c.want {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
		if told := len(b.Warnings) > 0; told != (c.want == tolerance.OtherLight()) {
			t.Errorf("%s: warned %v", name, b.Warnings)
		}
	}
}

func TestDyesOfAMix(t *testing.T) {
	got := Dyes([]shadebook.Part{{Dye: "Tan", Parts: 3}, {Dye: "Water", Parts: 4}, {Dye: "Navy", Parts: 1}})
	if len(got) != 2 || got[0] != "Tan" || got[1] != "Navy" {
		t.Error(got)
	}
}

// A dab that does not fit is told by its place in the photo, those of other dyes counted;
// of what was kept of a photo that is not known.
func TestWhereDabsDoNotGoTogether(t *testing.T) {
	b := Bench{Names: []string{"Tan", "Navy"}, sources: []source{{photo: "a.jpg"}, {photo: "kept.jpg"}}}
	rq := Request{Laid: []Laid{{"a.jpg", []Dab{pure("Red", 1), pure("Tan", 1), pure("Red", .4), pure("Tan", .4)}}}}
	views := []dye.View{{Dabs: []dye.Dab{{Amounts: dye.Pure(0, 1)}, {Amounts: dye.Pure(0, .4)}}}, {Dabs: []dye.Dab{{Amounts: dye.Pure(1, 1)}}}}
	for want, err := range map[string]error{
		"a.jpg: the dabs do not go together: number 4 (Tan:0.4) fits worst": &dye.Misfit{View: 0, Dab: 1},
		"a.jpg: the dabs do not go together":                                &dye.Misfit{View: 0, Dab: -1},
		"kept.jpg: the dabs do not go together: Navy:1 fits worst":          &dye.Misfit{View: 1, Dab: 0},
		"the dabs do not go together":                                       dye.ErrTogether,
	} {
		if got := b.where(err, rq, views); got.Error() != want || !errors.Is(got, dye.ErrTogether) {
			t.Errorf("%v, want %s", got, want)
		}
	}
}

func TestNeedsBook(t *testing.T) {
	laid := []Laid{{"a.jpg", []Dab{pure("Tan", 1)}}}
	for _, c := range []struct {
		rq   Request
		want bool
	}{
		{Request{Laid: laid}, false}, {Request{Laid: laid, Dyes: []string{"Tan"}}, false},
		{Request{Laid: laid, Dyes: []string{"Tan", "Navy"}}, true}, {Request{Laid: laid, Colour: "Bark"}, true},
	} {
		if got := c.rq.NeedsBook(); got != c.want {
			t.Errorf("%+v: %v", c.rq, got)
		}
	}
}

func TestKeepable(t *testing.T) {
	two := report.Blends{Blends: []report.Blend{{Expected: report.Expected{DE00: 1}}, {Expected: report.Expected{DE00: 2}}}}
	if r, err := Keepable(two, 2); err != nil || r.DE00 != 2 || r.Note != "proposal 2 of 2" {
		t.Errorf("%+v, %v", r, err)
	}
	for _, c := range []struct {
		of   report.Blends
		n    int
		want string
	}{
		{two, 3, "--keep 3: wanted a proposal from 1 to 2"}, {two, 0, "--keep 0: wanted a proposal from 1 to 2"},
		{report.Blends{}, 1, "--keep 1: there is no proposal to keep"},
	} {
		if _, err := Keepable(c.of, c.n); err == nil || err.Error() != c.want {
			t.Errorf("%v, wanted %s", err, c.want)
		}
	}
}

func pure(name string, part float64) Dab { return Dab{[]shadebook.Part{{Dye: name, Parts: 1}}, part} }
