package shadebook

import (
	"context"
	"database/sql"
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func TestBatchesAndDecisions(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		opened := must(b.OpenBatch(ctx, Batch{Name: " May ", Colour: "Oxblood", By: "Ana"}))(t)
		if diff := cmp.Diff(opened, must(b.BatchResult(ctx, "May"))(t).Batch); diff != "" {
			t.Error(diff)
		}
		if _, err := b.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood"}); !errors.Is(err, ErrNameTaken) {
			t.Errorf("the name again: %v", err)
		}
		check := func(file string) (Check, error) {
			c, e := aCheckOf(file, "", "May", 1)
			return b.AddCheck(ctx, c, e)
		}
		decide := func(says string, seen, corrects int64) (Decision, error) {
			d := Decision{Batch: "May", Says: says, By: "Ben", Why: "it's \"fine\"", Corrects: corrects}
			if says == Approved {
				d.StateID, d.Verdicts = 1, []Verdicts{{Check: 1, Pieces: []PieceVerdict{{1, "ship"}, {2, "hold"}}}, {Check: 2, Why: "no card"}}
			}
			return b.Decide(ctx, d, seen)
		}
		moves := func() int64 { return must(b.BatchResult(ctx, "May"))(t).Moves }
		must(check("a"))(t)
		seen := moves()
		for what, move := range map[string]func() error{
			"a check came in": func() error { _, err := check("b"); return err },
			"a check with a lower ID came in": func() error {
				_, err := b.db.Exec(`INSERT INTO photo_check (id, kind, colour_id, batch_id, file, sha256, taken_at, camera, problem, stored_at)
					SELECT -1, kind, colour_id, batch_id, file, $1, taken_at, camera, problem, stored_at FROM photo_check WHERE file = 'a'`, sha("late"))
				return err
			},
			"the colour changed": func() error {
				_, err := b.ChangeColour(ctx, "Oxblood", func(s *Settings) { s.Tolerance++ })
				return err
			},
			"its swatch changed": func() error { _, err := b.KeepSwatch(ctx, Swatch{Colour: "Oxblood"}); return err },
		} {
			if err := move(); err != nil {
				t.Fatal(err)
			}
			if _, err := decide(Approved, seen, 0); !errors.Is(err, ErrMoved) {
				t.Errorf("%s: %v", what, err)
			}
			seen = moves()
		}
		if _, err := decide(Reopened, seen, 0); !errors.Is(err, ErrDecided) {
			t.Errorf("reopened while open: %v", err)
		}
		if _, err := decide("maybe", seen, 0); !errors.Is(err, ErrRefused) {
			t.Errorf("maybe: %v", err)
		}
		approved := must(decide(Approved, seen, 0))(t)
		if _, err := decide(Approved, seen, 0); !errors.Is(err, ErrDecided) {
			t.Errorf("approved twice: %v", err)
		}
		if _, err := check("c"); !errors.Is(err, ErrDecided) {
			t.Errorf("a check after the approval: %v", err)
		}
		if _, err := decide(Rejected, seen, 99); !errors.Is(err, ErrNoRecord) {
			t.Errorf("corrects what is not there: %v", err)
		}
		rejected := must(decide(Rejected, seen, approved.ID))(t)
		if state := must(b.Batches(ctx))(t)[0].State; state != Rejected {
			t.Errorf("the batch is %s", state)
		}
		reopened := must(decide(Reopened, seen, 0))(t)
		if approved.Corrects != 0 || rejected.Corrects != approved.ID || reopened.Corrects != rejected.ID {
			t.Errorf("decisions point at %d, %d, %d", approved.Corrects, rejected.Corrects, reopened.Corrects)
		}
		must(check("c"))(t)
		r := must(b.BatchResult(ctx, "May"))(t)
		if diff := cmp.Diff([]Decision{approved, rejected, reopened}, r.Decisions); diff != "" || r.Batch.State != BatchOpen || len(r.Checks) != 4 {
			t.Errorf("%s, %s, %d checks", diff, r.Batch.State, len(r.Checks))
		}
		if again := must(decide(Approved, r.Moves, 0))(t); again.Corrects != 0 {
			t.Errorf("the first decision since the batch was reopened points at %d", again.Corrects)
		}
	})
}

// A photo that shows less than the one whose place it took is known by it, even when
// a second one follows.
func TestPiecesBefore(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		must(b.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood"}))(t)
		add := func(file string, pieces int, corrects int64) int64 {
			c, e := aCheckOf(file, "", "May", pieces)
			c.Corrects = corrects
			return must(b.AddCheck(ctx, c, e))(t).ID
		}
		four := add("four", 4, 0)
		one := add("one", 1, four)
		two := add("two", 2, one)
		add("other", 3, 0)
		if diff := cmp.Diff(map[int64]int{one: 4, two: 4}, must(b.BatchResult(ctx, "May"))(t).Before); diff != "" {
			t.Error(diff)
		}
	})
}

// A swatch that waits for a decision is kept after it, and changes nothing that was decided.
func TestASwatchWaitsForADecision(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b, other := open(t, address), open(t, address)
		c := must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		waits := make(chan Swatch, 1)
		var decided time.Time
		err := b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
			if err := b.lock(ctx, tx, aColour, c.ID, shared); err != nil {
				return err
			}
			go func() {
				s, err := other.KeepSwatch(context.Background(), Swatch{Colour: "Oxblood"})
				if err != nil {
					t.Error(err)
				}
				waits <- s
			}()
			time.Sleep(100 * time.Millisecond)
			decided = now()
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		if s := <-waits; !s.Kept.After(decided) {
			t.Errorf("kept at %v, decided at %v", s.Kept, decided)
		}
	})
}

// A decision waits for a change of the colour that is being stored, and then knows of it.
func TestADecisionWaitsForTheColour(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b, other := open(t, address), open(t, address)
		c := must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		must(b.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood"}))(t)
		seen := must(b.BatchResult(ctx, "May"))(t).Moves
		waits := make(chan error, 1)
		err := b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
			if err := b.lock(ctx, tx, aColour, c.ID, alone); err != nil {
				return err
			}
			go func() {
				_, err := other.Decide(context.Background(), Decision{Batch: "May", Says: Approved}, seen)
				waits <- err
			}()
			time.Sleep(100 * time.Millisecond)
			return c.Settings.store(ctx, tx, c.ID, now())
		})
		if err != nil {
			t.Fatal(err)
		}
		if err := <-waits; !errors.Is(err, ErrMoved) {
			t.Errorf("decided by what it had not seen: %v", err)
		}
	})
}
