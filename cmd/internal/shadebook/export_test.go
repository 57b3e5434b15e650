package shadebook

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"evenhide/cmd/internal/outfile"
	"evenhide/colour"
)

// filled is a book of the workshop Saltmarsh Bench with every kind of record, each
// field set in one record and, where it may, unset in another.
func filled(t testing.TB, address string) *Book {
	t.Helper()
	ctx := context.Background()
	b := open(t, address)
	for name := range oddNames {
		must(b.AddColour(ctx, name, DefaultSettings()))(t)
	}
	must(b.ChangeColour(ctx, "Oxblood", func(s *Settings) {
		s.Tolerance, s.Coats, s.Blend, s.Notes = 1.2345678901234567, 3, []Part{{`Tan "<2>"`, 1.0 / 3}}, "a\tb\nc\u2028d <&>"
	}))(t)
	must(b.KeepSwatch(ctx, Swatch{Colour: "Oxblood", Lab: colour.Lab{L: 1e-300, A: math.Copysign(0, -1), B: 40}}))(t)
	must(b.KeepSwatch(ctx, Swatch{
		Colour: "Oxblood", Lab: colour.Lab{L: 38, A: 18, B: 24}, Cov: colour.Matrix{{0.1}, {0, 0.1}, {0, 0, 0.1}}, Print: colour.Matrix{{1}},
		Photos: []PhotoFile{{"ü <1>.jpg", sha("1")}}, Light: "north window", Camera: "Phone", Card: "A7K2M9", CardMeasured: true,
		Taken: time.Date(1969, 1, 2, 3, 4, 5, 6000, time.UTC),
	}))(t)
	must(b.AddHide(ctx, Hide{Name: "side 4", Lot: "7", ThicknessMM: 3.2, Finish: Smooth, Notes: "=1+1, \"x\"\n"}))(t)
	must(b.AddBottle(ctx, Bottle{Name: "b1", Dye: "Oxblood", MakerLot: "L", Opened: time.Now(), Notes: "n"}))(t)
	must(b.AddBottle(ctx, Bottle{Name: "b2"}))(t)
	must(b.OpenBatch(ctx, Batch{Name: "May", Colour: "Oxblood", By: "Ana"}))(t)
	must(b.AddPiece(ctx, Piece{Name: "strap", Colour: "Oxblood", Hide: "side 4"}))(t)
	warm := 21.5
	must(b.AddCoat(ctx, Coat{Piece: "strap", When: time.Now(), Temperature: &warm, Bottle: "b1", Blend: "1:2"}))(t)
	must(b.AddCoat(ctx, Coat{Piece: "strap"}))(t)
	must(b.DropCoat(ctx, "strap", 2, CoatDrop{By: "Ben", Why: "of another strap"}))(t)
	must(b.AddCoat(ctx, Coat{Piece: "strap", Number: 2}))(t)
	var last Check
	for _, file := range []string{"a", "b", "c"} {
		c, e := aCheckOf(file, "", "May", 3)
		if file == "c" {
			c.Corrects, c.Problem, c.Reference, c.Taken, e.Picture = last.ID, "no card", nil, time.Time{}, nil
		}
		last = must(b.AddCheck(ctx, c, e))(t)
	}
	for _, kind := range []string{OfBottle, OfLadder, OfDabs} {
		dabs, e := aCheckOf("dabs", "", "", 2)
		dabs.Kind, dabs.Bottle = kind, "b1"
		must(b.AddCheck(ctx, dabs, e))(t)
	}
	stray := must(b.BatchResult(ctx, "May"))(t).Checks[0]
	must(b.DropPhoto(ctx, "May", Drop{Check: stray.ID, By: "Ben", Why: "of June"}))(t)
	seen := must(b.BatchResult(ctx, "May"))(t).Moves
	d := must(b.Decide(ctx, Decision{Batch: "May", Says: Approved, By: "Ben", Why: "ok", StateID: 1, Verdicts: []Verdicts{{stray.ID, "<a> \"é\"", []PieceVerdict{{1, "ship"}}}}}, seen))(t)
	must(b.Decide(ctx, Decision{Batch: "May", Says: Rejected, Corrects: d.ID}, seen))(t)
	must(b.AddRecipe(ctx, Recipe{Colour: "Oxblood", Parts: []Part{{"Tan", 3}}, ML: 250, DE00: 0.8, Interval: [2]float64{0.2, 1.4}, Note: "n"}))(t)
	return b
}

func exported(t testing.TB, b *Book) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := b.Export(context.Background(), &out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// A book moves between the engines and back without losing a bit, and goes on from there.
func TestExportAndImport(t *testing.T) {
	addresses := map[string]func(testing.TB) string{"sqlite": sqliteAddress, "postgres": postgresAddress}
	for from, first := range addresses {
		for to, second := range addresses {
			t.Run(from+" to "+to, func(t *testing.T) {
				ctx := context.Background()
				lines := exported(t, filled(t, first(t)))
				b := open(t, second(t))
				if err := b.Import(ctx, bytes.NewReader(lines)); err != nil {
					t.Fatal(err)
				}
				if diff := cmp.Diff(string(lines), string(exported(t, b))); diff != "" {
					t.Error(diff)
				}
				if err := b.Import(ctx, bytes.NewReader(lines)); !errors.Is(err, ErrNotEmpty) {
					t.Errorf("into a full book: %v", err)
				}
				next := must(b.AddColour(ctx, "after", DefaultSettings()))(t)
				if want := int64(len(oddNames) + 1); next.ID != want {
					t.Errorf("the next colour has the ID %d, want %d", next.ID, want)
				}
				must(b.AddRecipe(ctx, Recipe{Colour: "after"}))(t)
			})
		}
	}
}

// An export of the third version, which knew no dropped coats, is the same book; one of the
// second, whose decisions kept no verdicts, but for these; one of the first as well, whose
// swatches had three more fields, all null.
func TestImportOfEarlierVersions(t *testing.T) {
	b := filled(t, sqliteAddress(t))
	all := regexp.MustCompile(`(?m)^{"record":"coat(_drop","id":1|","id":3),.*\n`).ReplaceAllString(string(exported(t, b)), "")
	all = strings.NewReplacer(`"coat":3,"coat_drop":1`, `"coat":2,"coat_drop":0`).Replace(all)
	third := strings.NewReplacer(`"version":4`, `"version":3`, `"coat_drop":0,`, "").Replace(all)
	if strings.Contains(third, "coat_drop") {
		t.Fatal("there is a dropped coat")
	}
	for _, address := range []string{sqliteAddress(t), postgresAddress(t)} {
		again := open(t, address)
		if err := again.Import(context.Background(), strings.NewReader(third)); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(all, string(exported(t, again))); diff != "" {
			t.Error(diff)
		}
	}
	now := regexp.MustCompile(`"state_id":1,"verdicts":\[.*\]}`).ReplaceAllString(all, `"state_id":null,"verdicts":null}`)
	second := strings.NewReplacer(`"version":4`, `"version":2`, `"coat_drop":0,`, "", `,"state_id":null,"verdicts":null`, "").Replace(now)
	if now == all || strings.Contains(second, "verdicts") {
		t.Fatal("there are no verdicts")
	}
	for _, address := range []string{sqliteAddress(t), postgresAddress(t)} {
		again := open(t, address)
		if err := again.Import(context.Background(), strings.NewReader(second)); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(now, string(exported(t, again))); diff != "" {
			t.Error(diff)
		}
	}
	missing := strings.Replace(second, `"version":2`, `"version":4`, 1)
	if err := open(t, sqliteAddress(t)).Import(context.Background(), strings.NewReader(missing)); !errors.Is(err, ErrExport) {
		t.Errorf("fields are missing from this version: %v", err)
	}
	first := strings.Replace(second, `"version":2`, `"version":1`, 1)
	first = regexp.MustCompile(`(?m)^({"record":"swatch",.*)}$`).ReplaceAllString(first, `$1,"dab_linear":null,"hide_linear":null,"hide_lab":null}`)
	if strings.Count(first, "dab_linear") != 2 {
		t.Fatal("there is no swatch")
	}
	again := open(t, sqliteAddress(t))
	if err := again.Import(context.Background(), strings.NewReader(first)); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(now, string(exported(t, again))); diff != "" {
		t.Error(diff)
	}
	err := open(t, sqliteAddress(t)).Import(context.Background(), strings.NewReader(strings.Replace(first, `"dab_linear":null`, `"dab_linear":[1,2,3]`, 1)))
	if !errors.Is(err, ErrExport) {
		t.Errorf("a field that would be lost: %v", err)
	}
}

func TestEmptyBookExportsAndImports(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		b := open(t, address)
		lines := exported(t, b)
		if err := b.Import(context.Background(), bytes.NewReader(lines)); err != nil {
			t.Fatal(err)
		}
		must(b.AddColour(context.Background(), "first", DefaultSettings()))(t)
	})
}

// The tables that are exported are all that there are, with all of their columns, but
// that of names, which follows from the others.
func TestTablesAreComplete(t *testing.T) {
	b := open(t, sqliteAddress(t))
	var got []string
	want := must(collect(context.Background(), b.db, func(row *sql.Rows, to *string) error { return row.Scan(to) },
		`SELECT t.name || '.' || c.name FROM sqlite_schema t JOIN pragma_table_info(t.name) c
		WHERE t.type = 'table' AND t.name NOT IN ('shadebook', 'spelling')`))(t)
	for _, t := range tables() {
		for _, c := range t.columns {
			got = append(got, t.name+"."+c.name)
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// filled sets every column somewhere, or the round trip would not show a lost one.
func TestFilledFillsAll(t *testing.T) {
	b := filled(t, sqliteAddress(t))
	for _, table := range tables() {
		for _, c := range table.columns {
			n := 0
			if err := b.db.QueryRow("SELECT COUNT(*) FROM " + table.name + " WHERE " + c.name + " IS NOT NULL AND CAST(" + c.name + " AS TEXT) NOT IN ('', '0', '0.0', 'null')").Scan(&n); err != nil || n == 0 {
				t.Errorf("%s.%s is never set (%v)", table.name, c.name, err)
			}
		}
	}
}

func TestImportRefuses(t *testing.T) {
	ctx := context.Background()
	good := strings.SplitAfter(string(exported(t, filled(t, sqliteAddress(t)))), "\n")
	good = good[:len(good)-1]
	change := func(line int, old, new string) []string {
		bad := slices.Clone(good)
		if !strings.Contains(bad[line-1], old) {
			t.Fatalf("line %d has no %q: %s", line, old, bad[line-1])
		}
		bad[line-1] = strings.Replace(bad[line-1], old, new, 1)
		return bad
	}
	lineOf := func(record string) int {
		return 1 + slices.IndexFunc(good, func(line string) bool { return strings.HasPrefix(line, `{"record":"`+record+`"`) })
	}
	decision, coat := lineOf("decision"), lineOf("coat")
	onBoth(t, func(t *testing.T, address string) {
		b := open(t, address)
		for name, c := range map[string]struct {
			lines []string
			says  string
		}{
			"nothing":         {nil, "line 1: no header"},
			"another file":    {[]string{"{\"a\":1}\n"}, "line 1: not the header"},
			"later version":   {change(1, `"version":4`, `"version":5`), "line 1: version 5"},
			"no version":      {change(1, `"version":4`, `"version":0`), "line 1: version 0"},
			"cut short":       {good[:len(good)-1], "cut short"},
			"cut in a line":   {append(slices.Clone(good[:5]), good[5][:20]), "line 6: not JSON"},
			"unknown record":  {change(3, `"record":"colour"`, `"record":"color"`), `line 3: no record is called "color"`},
			"unknown field":   {change(3, `"name"`, `"nom"`), `line 3: colour: no field "name"`},
			"one more field":  {change(3, `"name"`, `"x":1,"name"`), "line 3: colour: 5 fields, wanted 4"},
			"text for number": {change(3, `"id":2`, `"id":"2"`), `line 3: colour: "id"`},
			"huge number":     {change(3, `"id":2`, `"id":1e400`), `line 3: colour: "id"`},
			"bad time":        {change(3, `"added_at":"2`, `"added_at":"x2`), `line 3: colour: "added_at"`},
			"null":            {change(3, `"id":2`, `"id":null`), ""}, // SQLite gives it a number
			"same line twice": {slices.Insert(slices.Clone(good), 3, good[2]), "line 4: colour: does not go"},
			"out of order":    {append([]string{good[0], good[len(oddNames)+1]}, good[1:]...), "line 2: colour_state: does not go"},
			"not UTF-8":       {change(3, `"name":"`, "\"name\":\"\xff"), "line 3: not UTF-8"},
			"no verdicts":     {change(decision, `"state_id":1`, `"state_id":null`), fmt.Sprintf("line %d: decision: state_id goes with verdicts", decision)},
			"half a check":    {change(decision, `"check":`, `"check":0.5,"x":`), fmt.Sprintf("line %d: decision: json: cannot unmarshal", decision)},
			"coat twice":      {change(coat, `"number":1`, `"number":2`), "two coats of the piece 1 have one number"},
			"NUL":             {change(3, `"name":"`, `"name":"\u0000`), `line 3: colour: "name": holds a NUL`},
		} {
			if name == "null" && b.engine == sqlite {
				continue
			}
			err := b.Import(ctx, strings.NewReader(strings.Join(c.lines, "")))
			if !errors.Is(err, ErrExport) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s: %v, want %q", name, err, c.says)
			}
			wantRows(t, b, "colour", 0)
		}
		if err := b.Import(ctx, strings.NewReader(strings.Join(good, ""))); err != nil {
			t.Error(err)
		}
	})
}

func TestExportCSV(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := filled(t, address)
		dir := filepath.Join(t.TempDir(), "as tables")
		if err := b.ExportCSV(ctx, dir); err != nil {
			t.Fatal(err)
		}
		for _, table := range tables() {
			text := must(os.ReadFile(filepath.Join(dir, table.name+".csv")))(t)
			rows := must(csv.NewReader(bytes.NewReader(text)).ReadAll())(t)
			if diff := cmp.Diff(table.columnNames(), rows[0]); diff != "" {
				t.Error(diff)
			}
			wantRows(t, b, table.name, len(rows)-1)
			if table.name == "hide" {
				if diff := cmp.Diff([]string{"1", "side 4", "7", "3.2", "smooth", "=1+1, \"x\"\n"}, rows[1][:6]); diff != "" {
					t.Error(diff)
				}
			}
		}
		if err := b.ExportCSV(ctx, dir); !errors.Is(err, ErrExport) {
			t.Errorf("into a full folder: %v", err)
		}
		if err := b.ExportCSV(ctx, filepath.Join(dir, "none", "x")); !errors.Is(err, outfile.ErrWrite) {
			t.Errorf("into no folder: %v", err)
		}
		if left := must(filepath.Glob(filepath.Join(filepath.Dir(dir), "*")))(t); len(left) != 1 {
			t.Errorf("left behind: %q", left)
		}
	})
}

func TestBackup(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := filled(t, address)
		lines := exported(t, b)
		file := filepath.Join(t.TempDir(), "backup of May")
		for range 2 { // the second replaces the first
			if err := b.Backup(ctx, file); err != nil {
				t.Fatal(err)
			}
		}
		restored := open(t, sqliteAddress(t))
		if b.engine == sqlite {
			restored = open(t, file)
		} else if err := restored.Import(ctx, bytes.NewReader(must(os.ReadFile(file))(t))); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(lines), string(exported(t, restored))); diff != "" {
			t.Error(diff)
		}
		if err := b.Backup(ctx, filepath.Join(file, "x")); !errors.Is(err, outfile.ErrWrite) {
			t.Errorf("nowhere: %v", err)
		}
		if b.engine == sqlite {
			if err := b.Backup(ctx, address); !errors.Is(err, outfile.ErrWrite) {
				t.Errorf("over the book itself: %v", err)
			}
			before := must(restored.AddColour(ctx, "of the other book", DefaultSettings()))(t)
			if err := b.Backup(ctx, file); !errors.Is(err, outfile.ErrWrite) {
				t.Errorf("over a book in use: %v", err)
			}
			restored.Close()
			if err := b.Backup(ctx, file); !errors.Is(err, outfile.ErrWrite) {
				t.Errorf("over a book that is not in use: %v", err)
			}
			if got := must(open(t, file).ColourNamed(ctx, before.Name))(t); got.ID != before.ID {
				t.Errorf("the book in use holds %+v", got)
			}
		}
	})
}

// A backup holds whole records only, all that were stored before it began, while
// others write.
func TestBackupWhileOthersWrite(t *testing.T) {
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b, writer := open(t, address), open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		stop, done := make(chan struct{}), make(chan int)
		go func() {
			for n := 0; ; n++ {
				select {
				case <-stop:
					done <- n
					return
				default:
				}
				c, e := aCheckOf(fmt.Sprint("photo ", n), "Oxblood", "", 3)
				if _, err := writer.AddCheck(ctx, c, e); err != nil {
					t.Error(err)
				}
			}
		}()
		dir := t.TempDir()
		const backups = 5
		for i := range backups {
			time.Sleep(time.Duration(rand.IntN(50)) * time.Millisecond)
			if err := b.Backup(ctx, filepath.Join(dir, fmt.Sprint(i))); err != nil {
				t.Error(err)
			}
		}
		close(stop)
		total, before := <-done, 0
		for i := range backups {
			file := filepath.Join(dir, fmt.Sprint(i))
			restored := open(t, sqliteAddress(t))
			if b.engine == sqlite {
				restored = open(t, file)
			} else if err := restored.Import(ctx, bytes.NewReader(must(os.ReadFile(file))(t))); err != nil {
				t.Fatal(err)
			}
			n := 0
			if err := restored.db.QueryRow("SELECT COUNT(*) FROM photo_check").Scan(&n); err != nil {
				t.Fatal(err)
			}
			if n < before || n > total {
				t.Errorf("backup %d has %d checks of %d, the one before had %d", i, n, total, before)
			}
			before = n
			wantRows(t, restored, "check_piece", 3*n)
			wantRows(t, restored, "check_evidence", n)
		}
	})
}
