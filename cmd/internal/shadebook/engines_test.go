package shadebook

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"evenhide/colour"
)

// onBoth runs a test on a new book of each engine.
func onBoth(t *testing.T, test func(t *testing.T, address string)) {
	t.Run("sqlite", func(t *testing.T) { test(t, sqliteAddress(t)) })
	t.Run("postgres", func(t *testing.T) { test(t, postgresAddress(t)) })
}

func sqliteAddress(t testing.TB) string { return filepath.Join(t.TempDir(), "a book é.db") }

// postgresServer is the server to test with: EVENHIDE_TEST_POSTGRES, or the one of
// this machine, where the tests are skipped if there is none.
func postgresServer(t testing.TB) *url.URL {
	t.Helper()
	address := os.Getenv("EVENHIDE_TEST_POSTGRES")
	wanted := address != "" || os.Getenv("CI") != ""
	if address == "" {
		address = "postgres:///postgres?host=/var/run/postgresql"
	}
	at, err := url.Parse(address)
	if err != nil {
		t.Fatal("EVENHIDE_TEST_POSTGRES is no address")
	}
	db, err := sql.Open("pgx", address)
	if err == nil {
		err = db.Ping()
		db.Close()
	}
	if err != nil && wanted {
		t.Fatalf("no PostgreSQL server: %v", err)
	} else if err != nil {
		t.Skipf("no PostgreSQL server (EVENHIDE_TEST_POSTGRES names one): %v", err)
	}
	return at
}

// postgresAddress returns the address of a new schema, which goes with the test.
func postgresAddress(t testing.TB) string {
	t.Helper()
	at := postgresServer(t)
	db, err := sql.Open("pgx", at.String())
	if err != nil {
		t.Fatal(err)
	}
	schema := fmt.Sprintf("evenhide_test_%d_%08x", os.Getpid(), rand.Uint32())
	if _, err := db.Exec("CREATE SCHEMA " + schema); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if _, err := db.Exec("DROP SCHEMA " + schema + " CASCADE"); err != nil {
			t.Error(err)
		}
		db.Close()
	})
	return with(at, "search_path", schema)
}

// with returns the address with one more parameter.
func with(at *url.URL, name, value string) string {
	more := *at
	q := more.Query()
	q.Set(name, value)
	more.RawQuery = q.Encode()
	return more.String()
}

func open(t testing.TB, address string) *Book {
	t.Helper()
	b, err := OpenOrBegin(context.Background(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

// must returns what a call gave that has to succeed.
func must[T any](v T, err error) func(t testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func sha(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// aCheckOf is a check of the photo file with n pieces, the last of which could not be measured.
func aCheckOf(file, colourName, batch string, n int) (Check, Evidence) {
	strength := 0.94
	c := Check{
		Colour: colourName, Batch: batch, Photo: PhotoFile{File: file, SHA256: sha(file)}, Camera: "Phone 7 \"wide\"",
		Taken:     time.Date(2026, 3, 4, 5, 6, 7, 891234567, time.FixedZone("", 3600)),
		Reference: &Reference{Lab: colour.Lab{L: 38.25, A: 18.5, B: 24.125}, Floor: 0.1},
	}
	for i := 1; i <= n; i++ {
		m := &Measured{
			Lab: colour.Lab{L: 37.1, A: 18.2, B: 23.9}, Cov: colour.Matrix{{0.01, 0, 0}, {0, 0.02, 0.001}, {0, 0.001, 0.03}},
			DE00: 1.1 + float64(i)/8, U: 0.4, Interval: [2]float64{0.7, 1.5}, Blotch: 0.8, Strength: &strength,
		}
		p := Judged{Number: i, Name: fmt.Sprintf("%s/%d", file, i), Verdict: "ship", Measured: m}
		if i == n {
			p.Verdict, p.Measured = "retake", nil
		}
		c.Pieces = append(c.Pieces, p)
	}
	return c, Evidence{Result: []byte(`{"file": "<` + file + `>", "é": [1, 2.50]}`), Picture: []byte("\xff\xd8 not a picture \x00")}
}

// oneOf wants one of the benches that do the same at once to succeed, the others refused.
func oneOf(t *testing.T, books []*Book, do func(*Book) error, refused error) {
	t.Helper()
	errs := make([]error, len(books))
	var all sync.WaitGroup
	for i, mine := range books {
		all.Go(func() { errs[i] = do(mine) })
	}
	all.Wait()
	done := 0
	for _, err := range errs {
		if err == nil {
			done++
		} else if !errors.Is(err, refused) {
			t.Error(err)
		}
	}
	if done != 1 {
		t.Errorf("%d of %d did", done, len(books))
	}
}

// wantRows counts rows.
func wantRows(t testing.TB, b *Book, table string, want int) {
	t.Helper()
	n := 0
	if err := b.db.QueryRow("SELECT COUNT(*) FROM " + table).Scan(&n); err != nil {
		t.Fatal(err)
	}
	if n != want {
		t.Errorf("%s has %d rows, want %d", table, n, want)
	}
}

func holds(t testing.TB, text string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if !strings.Contains(text, p) {
			t.Errorf("%q does not hold %q", text, p)
		}
	}
}
