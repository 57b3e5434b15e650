package shadebook

import (
	"context"
	"database/sql"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// bookOf begins a book as an evenhide of that version of the tables did.
func bookOf(t testing.TB, address string, version int) *Book {
	t.Helper()
	ctx := context.Background()
	open := openSQLite
	if must(onServer(address))(t) {
		open = openPostgres
	}
	b := must(open(ctx, address, true))(t)
	t.Cleanup(func() { b.Close() })
	if err := b.write(ctx, func(ctx context.Context, tx *sql.Tx) error { return b.bringTo(ctx, tx, version) }); err != nil {
		t.Fatal(err)
	}
	return b
}

// A decision of a book from before verdicts were kept with it has none, and stays.
func TestDecisionsOfAnOlderBook(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		old := bookOf(t, address, 4)
		must(old.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		must(old.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood"}))(t)
		if _, err := old.db.Exec("INSERT INTO decision (batch_id, says, decided_by, at, why) VALUES (1, 'approved', 'Ben', 0, 'ok')"); err != nil {
			t.Fatal(err)
		}
		old.Close()
		b := open(t, address)
		r := must(b.BatchResult(ctx, "May"))(t)
		first := Decision{ID: 1, Batch: "May", Says: Approved, By: "Ben", At: r.Decisions[0].At, Why: "ok"}
		second := must(b.Decide(ctx, Decision{Batch: "May", Says: Rejected, StateID: 1}, r.Moves))(t)
		if diff := cmp.Diff([]Decision{first, second}, must(b.BatchResult(ctx, "May"))(t).Decisions); diff != "" {
			t.Error(diff)
		}
		if _, err := b.db.Exec("UPDATE decision SET verdicts = NULL WHERE id = 2"); err == nil {
			t.Error("a decision was changed")
		}
	})
}

// The coats of a book from before they could be dropped stay as they were.
func TestCoatsOfAnOlderBook(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		old := bookOf(t, address, 5)
		must(old.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		must(old.AddBottle(ctx, Bottle{Name: "b1"}))(t)
		must(old.AddPiece(ctx, Piece{Name: "strap", Colour: "Oxblood"}))(t)
		const insert = "INSERT INTO coat (piece_id, number, applied_at, temperature, bottle_id, blend, added_at) VALUES (1, 2, 1000000, 20.5, 1, '', 3000000), (1, 1, NULL, NULL, NULL, 'tan', 4000000)"
		if _, err := old.db.Exec(insert); err != nil {
			t.Fatal(err)
		}
		if _, err := old.db.Exec(insert); err == nil {
			t.Fatal("the older book took a number twice")
		}
		old.Close()
		b := open(t, address)
		warm := 20.5
		want := []Coat{
			{ID: 2, Piece: "strap", Number: 1, Has: 1, Blend: "tan", Added: time.Unix(4, 0).UTC()},
			{ID: 1, Piece: "strap", Number: 2, Has: 2, When: time.Unix(1, 0).UTC(), Temperature: &warm, Bottle: "b1", Added: time.Unix(3, 0).UTC()},
		}
		if diff := cmp.Diff(want, must(b.Coats(ctx, "strap"))(t)); diff != "" {
			t.Error(diff)
		}
		must(b.DropCoat(ctx, "strap", 2, CoatDrop{By: "Ben"}))(t)
		if c := must(b.AddCoat(ctx, Coat{Piece: "strap"}))(t); c.Number != 2 || b.engine == sqlite && c.ID != 3 {
			t.Errorf("noted again as %+v", c)
		}
		for _, slip := range []string{"UPDATE coat SET number = 7", "DELETE FROM coat"} {
			if _, err := b.db.Exec(slip); err == nil {
				t.Errorf("%s: a coat was changed", slip)
			}
		}
	})
}

// Benches that are updated together meet at a book of an earlier version.
func TestMigrateTogether(t *testing.T) {
	for _, version := range []int{3, 4, 5} {
		onBoth(t, func(t *testing.T, address string) {
			bookOf(t, address, version)
			startTogether(t, address)
		})
		address := postgresAddress(t)
		bookOf(t, address, version)
		startTogether(t, withoutAdvisoryLock(t, address))
	}
}
