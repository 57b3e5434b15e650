package shadebook

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
	"time"
)

// A workshop of five years: 100 colours, 20,000 checked photos of 4 pieces in 1,000
// batches, each photo with a picture of 6 kB and a result of some 16 kB, as the demo photo has.
const (
	yearsColours = 100
	yearsChecks  = 20_000
	perBatch     = 20
	perPhoto     = 4
	pictureBytes = 6000
	outlineEnds  = 260 // of a piece in the result
)

// yearsResult is as long as a real result, and as hard to press.
func yearsResult(r *rand.Rand, file string) []byte {
	type piece struct {
		Name    string
		Outline [][2]int
		Figures [40]float64
	}
	pieces := make([]piece, perPhoto)
	for i := range pieces {
		pieces[i].Name = fmt.Sprint(i + 1)
		for range outlineEnds {
			pieces[i].Outline = append(pieces[i].Outline, [2]int{r.IntN(4000), r.IntN(3000)})
		}
		for k := range pieces[i].Figures {
			pieces[i].Figures[k] = r.NormFloat64()
		}
	}
	text, err := json.Marshal(map[string]any{"file": file, "pieces": pieces})
	if err != nil {
		panic(err) // plain numbers
	}
	return text
}

// fiveYears fills a book with them.
func fiveYears(t testing.TB, address string) *Book {
	ctx := context.Background()
	b := open(t, address)
	r := rand.New(rand.NewPCG(5, 5))
	verdicts := []string{"ship", "ship", "ship", "another coat", "look again", "hold"}
	for i := range yearsColours {
		name := fmt.Sprint("colour ", i)
		must(b.AddColour(ctx, name, DefaultSettings()))(t)
		for range 10 {
			must(b.ChangeColour(ctx, name, func(s *Settings) { s.Tolerance = 1 + r.Float64() }))(t)
			must(b.KeepSwatch(ctx, Swatch{Colour: name, Light: "north window", Photos: []PhotoFile{{"a.jpg", sha("a")}}}))(t)
		}
	}
	for batch := range yearsChecks / perBatch {
		name := fmt.Sprint("batch ", batch)
		must(b.OpenBatch(ctx, Batch{Name: name, Colour: fmt.Sprint("colour ", batch%yearsColours), By: "Ana"}))(t)
		err := b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
			for i := range perBatch {
				c, e := aCheckOf(fmt.Sprintf("%s/%d.jpg", name, i), "", name, perPhoto)
				for k := range c.Pieces {
					c.Pieces[k].Verdict = verdicts[r.IntN(len(verdicts))]
				}
				c, err := c.check()
				if err != nil {
					return err
				}
				c.Stored = now()
				e.Picture = make([]byte, pictureBytes)
				for k := range e.Picture {
					e.Picture[k] = byte(r.Uint32())
				}
				e.Result = yearsResult(r, c.Photo.File)
				if err := b.addCheck(ctx, tx, &c, e); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		must(b.Decide(ctx, Decision{Batch: name, Says: Approved, By: "Ben"}, must(b.BatchResult(ctx, name))(t).Moves))(t)
	}
	return b
}

// BenchmarkFiveYears times what batch show and colour show read, each beside a bare
// SELECT of the same rows by their index.
func BenchmarkFiveYears(b *testing.B) {
	for name, address := range map[string]func(testing.TB) string{"sqlite": sqliteAddress, "postgres": postgresAddress} {
		b.Run(name, func(b *testing.B) {
			path := address(b)
			book := fiveYears(b, path)
			if name == "sqlite" {
				if _, err := book.db.Exec("PRAGMA wal_checkpoint(TRUNCATE)"); err != nil {
					b.Fatal(err)
				}
				b.Run("file", func(b *testing.B) { b.ReportMetric(float64(must(os.Stat(path))(b).Size())/1e6, "MB") })
			}
			benchmarkShow(b, book)
		})
	}
}

func benchmarkShow(b *testing.B, book *Book) {
	ctx := context.Background()
	const middle = 500 // neither the first nor the last
	batch := fmt.Sprint("batch ", middle)
	within(b, "batch show", func(b testing.TB) {
		r := must(book.BatchResult(ctx, batch))(b)
		if len(r.Checks) != perBatch || len(r.Checks[3].Pieces) != perPhoto {
			b.Fatal("not the whole batch")
		}
	})
	batchID := must(book.BatchResult(ctx, batch))(b).Batch.ID
	within(b, "batch show, bare", func(b testing.TB) {
		bare(b, book, perBatch, "SELECT * FROM photo_check WHERE batch_id = $1", batchID)
		bare(b, book, perBatch*perPhoto, "SELECT p.* FROM check_piece p JOIN photo_check c ON c.id = p.check_id WHERE c.batch_id = $1", batchID)
	})
	const latest = 10
	within(b, "colour show", func(b testing.TB) {
		s := must(book.ColourSummary(ctx, "colour 50", latest))(b)
		n := 0
		for _, count := range s.Verdicts {
			n += count
		}
		if len(s.Checks) != latest || len(s.Swatches) != 10 || len(s.History) != 11 || n != perPhoto*yearsChecks/yearsColours {
			b.Fatal("not the whole colour")
		}
	})
	colourID := must(book.ColourNamed(ctx, "colour 50"))(b).ID
	within(b, "colour show, bare", func(b testing.TB) {
		bare(b, book, 11, "SELECT * FROM colour_state WHERE colour_id = $1", colourID)
		bare(b, book, 10, "SELECT * FROM swatch WHERE colour_id = $1", colourID)
		bare(b, book, perPhoto*yearsChecks/yearsColours, "SELECT p.* FROM check_piece p JOIN photo_check c ON c.id = p.check_id WHERE c.colour_id = $1", colourID)
	})
}

// within benchmarks one reading, which may take 100 ms.
func within(b *testing.B, name string, read func(testing.TB)) {
	const most = 100 * time.Millisecond
	b.Run(name, func(b *testing.B) {
		for b.Loop() {
			read(b)
		}
		if took := b.Elapsed() / time.Duration(b.N); took > most {
			b.Errorf("took %v, at most %v it may", took, most)
		}
	})
}

// bare reads rows as they are.
func bare(t testing.TB, book *Book, want int, query string, id int64) {
	rows, err := book.db.Query(query, id)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	columns := must(rows.Columns())(t)
	values, to := make([]any, len(columns)), make([]any, len(columns))
	for i := range to {
		to[i] = &values[i]
	}
	n := 0
	for rows.Next() {
		if err := rows.Scan(to...); err != nil {
			t.Fatal(err)
		}
		n++
	}
	if rows.Err() != nil || n != want {
		t.Fatalf("%d rows, want %d: %v", n, want, rows.Err())
	}
}
