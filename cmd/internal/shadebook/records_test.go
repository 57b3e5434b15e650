package shadebook

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"evenhide/colour"
)

// Names that a maker may give, as typed and as kept.
var oddNames = map[string]string{
	"Oxblood":                   "Oxblood",
	"  Tan, 2nd  ":              "Tan, 2nd",
	"O'Brien's \"best\" `x` \\": "O'Brien's \"best\" `x` \\",
	"cafe\u0301 brule\u0301":    "café brulé",
	"靴 / обувь 🥾":               "靴 / обувь 🥾",
	"'; DROP TABLE colour; --":  "'; DROP TABLE colour; --",
	"%_$1":                      "%_$1",
}

func TestColours(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		s := DefaultSettings()
		s.Blend, s.Notes, s.Coats = []Part{{"Tan", 3}, {"water", 0.5}}, "two thin coats\nfirst", 3
		for typed, kept := range oddNames {
			added := must(b.AddColour(ctx, typed, s))(t)
			if added.Name != kept || added.ID == 0 {
				t.Errorf("%q is kept as %q", typed, added.Name)
			}
			if diff := cmp.Diff(added, must(b.ColourNamed(ctx, typed))(t)); diff != "" {
				t.Errorf("%q: %s", typed, diff)
			}
			if _, err := b.AddColour(ctx, kept+" ", s); !errors.Is(err, ErrNameTaken) {
				t.Errorf("%q again: %v", kept, err)
			}
		}
		for range 2 {
			must(b.ChangeColour(ctx, "Oxblood", func(s *Settings) { s.Tolerance += 0.25; s.Blend[0].Parts++ }))(t)
		}
		states := must(b.ColourHistory(ctx, "Oxblood"))(t)
		var got []float64
		for _, state := range states {
			got = append(got, state.Tolerance, state.Blend[0].Parts)
		}
		if diff := cmp.Diff([]float64{2.5, 5, 2.25, 4, 2, 3}, got); diff != "" {
			t.Error(diff)
		}
		all := must(b.Colours(ctx))(t)
		if len(all) != len(oddNames) {
			t.Fatalf("%d colours", len(all))
		}
		for _, c := range all {
			if want := 2.0; c.Name != "Oxblood" && c.Tolerance != want || c.Name == "Oxblood" && c.Tolerance != 2.5 {
				t.Errorf("%q has the tolerance %v", c.Name, c.Tolerance)
			}
		}
	})
}

func TestListsAreInAPersonsOrder(t *testing.T) {
	ctx := context.Background()
	b := open(t, sqliteAddress(t))
	for _, name := range []string{"Tan 10", "walnut", "tan 2", "Écru", "Oxblood"} {
		must(b.AddColour(ctx, name, DefaultSettings()))(t)
	}
	var got []string
	for _, c := range must(b.Colours(ctx))(t) {
		got = append(got, c.Name)
	}
	if diff := cmp.Diff([]string{"Écru", "Oxblood", "tan 2", "Tan 10", "walnut"}, got); diff != "" {
		t.Error(diff)
	}
}

func TestSwatches(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		if _, err := b.CurrentSwatch(ctx, "Oxblood"); !errors.Is(err, ErrNoRecord) {
			t.Errorf("no swatch: %v", err)
		}
		plain := Swatch{Colour: "Oxblood", Lab: colour.Lab{L: 30, A: 20, B: 10}, Light: "north window", Camera: "Phone 7"}
		full := plain
		full.Lab.L, full.Card, full.CardMeasured = 30.123456789012345, "A7K2M9", true
		full.Cov, full.Print = colour.Matrix{{1, 2, 3}, {2, 4, 5}, {3, 5, 6}}, colour.Matrix{{0.1}, {0, 0.1}, {0, 0, 0.1}}
		full.Photos = []PhotoFile{{"a b.jpg", sha("a")}, {"ü.jpg", sha("b")}}
		full.Taken = time.Date(2026, 1, 2, 3, 4, 5, 6000, time.UTC)
		for _, s := range []Swatch{plain, full} {
			kept := must(b.KeepSwatch(ctx, s))(t)
			if diff := cmp.Diff(kept, must(b.CurrentSwatch(ctx, " Oxblood"))(t)); diff != "" {
				t.Error(diff)
			}
			s.ID, s.Kept = kept.ID, kept.Kept
			if diff := cmp.Diff(s, kept); diff != "" {
				t.Error(diff)
			}
		}
		if n := len(must(b.Swatches(ctx, "Oxblood"))(t)); n != 2 {
			t.Errorf("%d swatches", n)
		}
	})
}

func TestHidesAndBottles(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		for typed, kept := range oddNames {
			h := must(b.AddHide(ctx, Hide{Name: typed, Lot: "L 7", ThicknessMM: 3.2, Finish: Milled, Notes: "belly"}))(t)
			bottle := must(b.AddBottle(ctx, Bottle{Name: typed, Dye: "Oxblood", MakerLot: "0815", Opened: time.Now()}))(t)
			if h.Name != kept || bottle.Name != kept {
				t.Errorf("%q is kept as %q and %q", typed, h.Name, bottle.Name)
			}
			if !slices.Contains(must(b.Hides(ctx))(t), h) {
				t.Errorf("%+v is not among the hides", h)
			}
			if diff := cmp.Diff(bottle, must(b.BottleNamed(ctx, typed))(t)); diff != "" {
				t.Error(diff)
			}
			if _, err := b.AddHide(ctx, Hide{Name: kept}); !errors.Is(err, ErrNameTaken) {
				t.Errorf("hide %q again: %v", kept, err)
			}
			if _, err := b.AddBottle(ctx, Bottle{Name: kept}); !errors.Is(err, ErrNameTaken) {
				t.Errorf("bottle %q again: %v", kept, err)
			}
		}
		if n, m := len(must(b.Hides(ctx))(t)), len(must(b.Bottles(ctx))(t)); n != len(oddNames) || m != len(oddNames) {
			t.Errorf("%d hides, %d bottles", n, m)
		}
	})
}

func TestPiecesAndCoats(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		for _, name := range []string{"Oxblood", "Tan"} {
			must(b.AddColour(ctx, name, DefaultSettings()))(t)
		}
		must(b.AddHide(ctx, Hide{Name: "side 4"}))(t)
		must(b.AddBottle(ctx, Bottle{Name: "b1"}))(t)
		must(b.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood"}))(t)
		p := must(b.AddPiece(ctx, Piece{Name: "strap 1", Colour: "Oxblood", Hide: "side 4", Batch: "May"}))(t)
		if diff := cmp.Diff(p, must(b.PieceNamed(ctx, "strap 1"))(t)); diff != "" {
			t.Error(diff)
		}
		if _, err := b.AddPiece(ctx, Piece{Name: "strap 2", Colour: "Tan", Batch: "May"}); !errors.Is(err, ErrRefused) {
			t.Errorf("a batch of another colour: %v", err)
		}
		warm := 21.5
		for i, c := range []Coat{{Bottle: "b1", Temperature: &warm}, {Number: 5, Blend: "tan 1:2"}, {}} {
			c.Piece, c.When = "strap 1", time.Date(2026, 5, 1, 9, i, 0, 0, time.UTC)
			added := must(b.AddCoat(ctx, c))(t)
			if want := []int{1, 5, 6}[i]; added.Number != want {
				t.Errorf("coat %d, want %d", added.Number, want)
			}
			if diff := cmp.Diff(added, must(b.Coats(ctx, "strap 1"))(t)[i]); diff != "" {
				t.Error(diff)
			}
		}
		if _, err := b.AddCoat(ctx, Coat{Piece: "strap 1", Number: 5}); !errors.Is(err, ErrNameTaken) {
			t.Errorf("coat 5 again: %v", err)
		}
		day := func(d int) time.Time { return time.Date(2026, 5, d, 0, 0, 0, 0, time.UTC) }
		for name, c := range map[string]Coat{
			"next, hours earlier": {When: day(1).Add(90 * time.Minute)}, "a lower number, later": {Number: 3, When: day(2)}, "the highest, earlier": {Number: 9, When: day(1).Add(90 * time.Minute)},
		} {
			c.Piece = "strap 1"
			if _, err := b.AddCoat(ctx, c); !errors.Is(err, ErrRefused) {
				t.Errorf("%s: %v", name, err)
			}
		}
		for _, c := range []Coat{{Number: 3, When: time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)}, {When: day(3)}, {}} {
			c.Piece = "strap 1"
			must(b.AddCoat(ctx, c))(t)
		}
	})
}

func TestRecipes(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		r := must(b.AddRecipe(ctx, Recipe{Colour: "Oxblood", Parts: []Part{{"Tan", 3}}, ML: 250, DE00: 0.8, Interval: [2]float64{0.2, 1.4}, Note: "n"}))(t)
		if diff := cmp.Diff([]Recipe{r}, must(b.Recipes(ctx, "Oxblood"))(t)); diff != "" {
			t.Error(diff)
		}
	})
}

func TestWhatCannotBeIsRefused(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		must(b.AddBottle(ctx, Bottle{Name: "b1"}))(t)
		nan := func(s *Settings) { s.KL = colour.Lab{}.L / colour.Lab{}.L }
		set := func(change func(*Settings)) error {
			s := DefaultSettings()
			change(&s)
			_, err := b.AddColour(ctx, "X", s)
			return err
		}
		check := func(change func(*Check, *Evidence)) error {
			c, e := aCheckOf("a.jpg", "Oxblood", "", 2)
			change(&c, &e)
			_, err := b.AddCheck(ctx, c, e)
			return err
		}
		_, longName := b.AddHide(ctx, Hide{Name: strings.Repeat("x", longestName+1)})
		_, noName := b.AddHide(ctx, Hide{Name: " \u00a0 "})
		_, control := b.AddHide(ctx, Hide{Name: "a\x1b[2J"})
		_, notUTF8 := b.AddHide(ctx, Hide{Name: "a\xff"})
		_, finish := b.AddHide(ctx, Hide{Name: "h", Finish: "shiny"})
		_, nul := b.AddHide(ctx, Hide{Name: "h", Notes: "a\x00"})
		_, negative := b.AddHide(ctx, Hide{Name: "h", ThicknessMM: -1})
		for name, err := range map[string]error{
			"long name": longName, "no name": noName, "control character": control, "not UTF-8": notUTF8, "finish": finish, "NUL": nul, "thickness": negative,
			"tolerance": set(func(s *Settings) { s.Tolerance = 0 }), "kL": set(nan), "coats": set(func(s *Settings) { s.Coats = -1 }),
			"part":     set(func(s *Settings) { s.Blend = []Part{{"Tan", 0}} }),
			"dye":      set(func(s *Settings) { s.Blend = []Part{{"", 1}} }),
			"hash":     check(func(c *Check, _ *Evidence) { c.Photo.SHA256 = "ABC" }),
			"kind":     check(func(c *Check, _ *Evidence) { c.Kind = "other" }),
			"nowhere":  check(func(c *Check, _ *Evidence) { c.Colour = "" }),
			"bottle":   check(func(c *Check, _ *Evidence) { c.Bottle = "b1" }),
			"name":     check(func(c *Check, _ *Evidence) { c.Pieces[1].Name = c.Pieces[0].Name }),
			"number":   check(func(c *Check, _ *Evidence) { c.Pieces[1].Number = 1 }),
			"figures":  check(func(c *Check, _ *Evidence) { c.Pieces[0].Measured.DE00 = 1 / colour.Lab{}.L }),
			"no JSON":  check(func(_ *Check, e *Evidence) { e.Result = []byte("{") }),
			"too much": check(func(_ *Check, e *Evidence) { e.Picture = make([]byte, mostPicture+1) }),
		} {
			if !errors.Is(err, ErrRefused) {
				t.Errorf("%s: %v", name, err)
			}
		}
		missing := func(_ any, err error) error { return err }
		for name, err := range map[string]error{
			"colour": missing(b.ColourNamed(ctx, "X")), "hide": missing(b.AddPiece(ctx, Piece{Name: "p", Colour: "Oxblood", Hide: "X"})), "bottle": missing(b.BottleNamed(ctx, "X")),
			"piece": missing(b.PieceNamed(ctx, "X")), "batch": missing(b.BatchResult(ctx, "X")), "swatch": missing(b.KeepSwatch(ctx, Swatch{Colour: "X"})),
			"coat": missing(b.AddCoat(ctx, Coat{Piece: "X"})), "check": missing(b.CheckWithID(ctx, 7)), "evidence": missing(b.Evidence(ctx, 7)),
			"check's colour": check(func(c *Check, _ *Evidence) { c.Colour = "X" }), "check's batch": check(func(c *Check, _ *Evidence) { c.Batch = "X" }),
			"corrected": check(func(c *Check, _ *Evidence) { c.Corrects = 7 }),
		} {
			if !errors.Is(err, ErrNoRecord) {
				t.Errorf("%s: %v", name, err)
			}
		}
		for table, want := range map[string]int{"colour": 1, "hide": 0, "photo_check": 0, "check_piece": 0, "check_evidence": 0, "piece": 0} {
			wantRows(t, b, table, want)
		}
	})
}
