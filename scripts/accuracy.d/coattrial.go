package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"time"

	"evenhide/calibrate/scene"
)

// known is what the book knows of a colour besides the new pieces.
type known string

const (
	nothing    known = "new colour"
	usualCoats known = "new colour, its usual coats told"
	earlierLot known = "an earlier lot known"
)

// forecast is what evenhide said of one new piece after its second coat, in how many
// coats, and what is true.
type forecast struct {
	lot                 *lot
	piece               dyedPiece
	known               known
	said, least, most   int
	truth               int
	made                bool
	verdict, complained string
}

func (f forecast) String() string {
	return fmt.Sprintf("%s %d, %s", f.lot.light, f.lot.seed, f.piece.name)
}

// coatBench is a workshop with a book of its own.
type coatBench struct {
	*stage
	lot    *lot
	book   string
	photos *atomic.Int64 // taken, over all benches
}

// tryLot dyes a lot coat by coat and has its pieces forecast after the second: as those
// of a new colour, then with its usual number of coats in the book, and then with an
// earlier lot in its place.
func (st *stage) tryLot(l *lot, photos *atomic.Int64) ([]forecast, error) {
	dir, err := os.MkdirTemp(st.dir, "lot")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	b := &coatBench{stage: st, lot: l, book: filepath.Join(dir, "book.db"), photos: photos}
	if _, err := b.run("colour", "add", "colour", "--tolerance", fmt.Sprint(tolerance)); err != nil {
		return nil, err
	}
	if err := b.dye(l.new, readCoats, 1, time.March); err != nil {
		return nil, err
	}
	all, err := b.forecasts(nothing)
	if err != nil {
		return nil, err
	}
	told, err := b.usually(l.coats, usualCoats)
	if err != nil {
		return nil, err
	}
	if err := b.dye(l.old, oldCoats, 2, time.January); err != nil {
		return nil, err
	}
	last, err := b.usually(0, earlierLot)
	return append(append(all, told...), last...), err
}

// usually tells the book how many coats the colour takes, 0 for unknown, and asks.
func (b *coatBench) usually(coats int, k known) ([]forecast, error) {
	if _, err := b.run("colour", "change", "colour", "--coats", fmt.Sprint(coats)); err != nil {
		return nil, err
	}
	return b.forecasts(k)
}

// dye lays coats on pieces, one a day, and checks them the next morning. A photo in
// which some piece is to be taken again is taken again, twice.
func (b *coatBench) dye(pieces []dyedPiece, coats, stream int, month time.Month) error {
	for n := 1; n <= coats; n++ {
		laid := time.Date(2026, month, n, 10, 0, 0, 0, time.UTC)
		for _, p := range pieces {
			options := []string{"coat", "add", p.name, "--when", laid.Format(time.RFC3339)}
			if n == 1 {
				options = append(options, "--colour", "colour")
			}
			if _, err := b.run(options...); err != nil {
				return err
			}
		}
		read := map[string]bool{}
		for try := 0; try < 3 && len(read) < len(pieces); try++ {
			seed := 1000*b.lot.seed + uint64(100*stream+10*n+try)
			if err := b.check(pieces, n, seed, laid.Add(22*time.Hour+time.Duration(try)*time.Hour/2), read); err != nil {
				return err
			}
		}
	}
	return nil
}

// check takes a photo, names the pieces by where they lie, keeps what it gives and adds
// to read the pieces that it judged.
func (b *coatBench) check(pieces []dyedPiece, coats int, seed uint64, taken time.Time, read map[string]bool) error {
	path := filepath.Join(b.dir, fmt.Sprintf("coats-%s-%s-%d.jpg", b.lot.world, b.lot.light, seed))
	truth, err := b.shoot(b.lot.photo(b.stage, pieces, coats, seed).Scene, path)
	if err != nil {
		return err
	}
	b.photos.Add(1)
	seen, err := check(path)
	if err != nil || seen.Error != "" || len(seen.Pieces) == 0 {
		return err
	}
	names := make([]string, len(seen.Pieces))
	for i := range names {
		names[i] = fmt.Sprintf("stray %d %d", seed, i)
	}
	k := 0
	for _, it := range truth.Items {
		if it.Kind != scene.Piece {
			continue
		}
		for i, p := range seen.Pieces {
			if overlap(it.Outline, p.Outline) > .5 {
				names[i] = pieces[k].name
				if p.Verdict != "retake" && p.Depth != nil {
					read[names[i]] = true
				}
			}
		}
		k++
	}
	_, err = b.run("check", "--json", "--keep", "--colour", "colour", "--called", strings.Join(names, ","), "--taken", taken.Format(time.RFC3339), path)
	return err
}

// forecasts asks for each new piece.
func (b *coatBench) forecasts(k known) ([]forecast, error) {
	var all []forecast
	for _, p := range b.lot.new {
		f := forecast{lot: b.lot, piece: p, known: k, truth: b.lot.left(b.spectra, p)}
		out, err := b.run("coat", "next", "--json", p.name)
		if err != nil {
			return nil, err
		}
		var next struct {
			Verdict string
			Reasons []string
			More    *struct {
				Least, Likely, Most int
				Never               float64
			}
			Readings []struct{ Coat int }
		}
		if len(out) > 0 {
			if err := json.Unmarshal(out, &next); err != nil {
				return nil, err
			}
		}
		// Read after both coats: else the tool has not seen what it is asked about.
		read := map[int]bool{}
		for _, r := range next.Readings {
			read[r.Coat] = true
		}
		if f.verdict = next.Verdict; next.More != nil && len(read) == readCoats {
			f.made = true
			f.said, f.least, f.most = next.More.Likely, next.More.Least, next.More.Most
			if why := strings.Join(next.Reasons, "; "); next.Verdict == "hold" {
				f.complained = why
				f.said, f.least, f.most = neverCoats, neverCoats, neverCoats
				if strings.Contains(why, "cannot be taken back") || strings.Contains(why, "at full strength") {
					f.said, f.least, f.most = 0, 0, 0
				}
			}
		}
		all = append(all, f)
	}
	return all, nil
}

// run runs the command on the bench's book and returns what it prints; nothing when it
// refuses.
func (b *coatBench) run(args ...string) ([]byte, error) {
	cmd := exec.Command("build/evenhide", append(args, "--book", b.book)...)
	out, err := cmd.Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) && (len(out) > 0 || strings.Contains(string(exit.Stderr), "too few checks")) {
		return out, nil // it says what it found in its exit code too
	}
	if err != nil {
		complaint := ""
		if exit != nil {
			complaint = string(exit.Stderr)
		}
		return nil, fmt.Errorf("%v: %w: %s", cmd.Args, err, complaint)
	}
	return out, nil
}

// printForecasts lists each forecast.
func printForecasts(w io.Writer, all []forecast) {
	for _, f := range all {
		fmt.Fprintf(w, "%s %s, %s: said %d (%d to %d) %s, true %d %s\n", f.lot.world, f, f.known, f.said, f.least, f.most, f.verdict, f.truth, f.complained)
	}
}
