package batch

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/sync/errgroup"

	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/shadebook"
	"evenhide/colour"
)

// folder writes n files that are no photos, which is soon found out, and one that is.
func folder(t *testing.T, n int) string {
	t.Helper()
	dir := t.TempDir()
	for i := range n {
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%02d.jpg", i)), fmt.Appendf(nil, "no photo %d", i), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile("../../../testdata/demo/wallet.jpg")
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, "wallet.jpg"), data, 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// opened returns a run of photos into the batch belts of a new book.
func opened(t *testing.T, workers int) Run {
	t.Helper()
	ctx := context.Background()
	book, err := shadebook.OpenOrBegin(ctx, filepath.Join(t.TempDir(), "book.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { book.Close() })
	c, err := book.AddColour(ctx, "Harrow brown", shadebook.DefaultSettings())
	if err == nil {
		_, err = book.OpenBatch(ctx, shadebook.Batch{Name: "belts", Colour: c.Name, By: "Ann"})
	}
	if err != nil {
		t.Fatal(err)
	}
	rq := check.Request{Weights: colour.UnitWeights()}
	rq.Limits.DE, rq.Limits.Blotch = c.Tolerance, c.BlotchTolerance
	return Run{Book: book, Batch: "belts", Request: rq, Workers: workers, Begin: func(int) func() { return func() {} }}
}

func (r Run) held(t *testing.T) shadebook.BatchResult {
	t.Helper()
	held, err := r.Book.BatchResult(context.Background(), r.Batch)
	if err != nil {
		t.Fatal(err)
	}
	return held
}

func TestAStoppedRunGoesOn(t *testing.T) {
	const photos, workers, stop = 30, 3, 5
	dir := folder(t, photos-1)
	all, _, err := Photos([]string{dir})
	if err != nil || len(all) != photos {
		t.Fatal(len(all), err)
	}
	whole, broken := opened(t, workers), opened(t, workers)
	if err := whole.Check(context.Background(), all); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	done := make(chan struct{}, photos)
	broken.Begin = func(todo int) func() {
		if todo != photos {
			t.Errorf("%d photos to check, want %d", todo, photos)
		}
		return func() {
			if done <- struct{}{}; len(done) == stop {
				cancel()
			}
		}
	}
	err = broken.Check(ctx, all)
	stored := len(broken.held(t).Checks)
	if !errors.Is(err, context.Canceled) || !strings.HasPrefix(err.Error(), fmt.Sprintf("stopped after %d of %d photos", stored, photos)) {
		t.Errorf("%v, with %d photos stored", err, stored)
	}
	if stored < stop || stored > stop+workers {
		t.Errorf("%d photos stored when stopped after %d with %d workers", stored, stop, workers)
	}
	todo := 0
	broken.Begin = func(n int) func() { todo = n; return func() {} }
	if err := broken.Check(context.Background(), all); err != nil || todo != photos-stored {
		t.Errorf("%v; %d left to check, want %d", err, todo, photos-stored)
	}
	want, got := sum(whole.held(t), nil), sum(broken.held(t), nil)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if got.Photos != photos || got.Retakes() != photos-1 || len(got.Pieces) != 1 || got.Pieces[0].Name != "belts/wallet/1" {
		t.Errorf("%d photos, %d retakes, pieces %+v", got.Photos, got.Retakes(), got.Pieces)
	}
}

// Two benches that check the same photos at once store each once.
func TestTwoRunsAtOnce(t *testing.T) {
	const photos = 20
	all, _, err := Photos([]string{folder(t, photos-1)})
	if err != nil {
		t.Fatal(err)
	}
	r := opened(t, 2)
	var both errgroup.Group
	for range 2 {
		both.Go(func() error { return r.Check(context.Background(), all) })
	}
	if err := both.Wait(); err != nil {
		t.Fatal(err)
	}
	if n := len(r.held(t).Checks); n != photos {
		t.Errorf("%d photos stored, want %d", n, photos)
	}
}

// Two benches that check different photos of one name at once have different pieces.
func TestTwoPhotosOfOneNameAtOnce(t *testing.T) {
	r := opened(t, 1)
	first, second := folder(t, 0), folder(t, 0)
	f, err := os.OpenFile(filepath.Join(second, "wallet.jpg"), os.O_APPEND|os.O_WRONLY, 0)
	if err == nil {
		_, err = f.WriteString("another")
	}
	if err != nil || f.Close() != nil {
		t.Fatal(err)
	}
	late := r
	late.Begin = func(int) func() { // what the other bench does between this one's look and its first photo
		photos, _, err := Photos([]string{first})
		if err == nil {
			err = r.Check(context.Background(), photos)
		}
		if err != nil {
			t.Fatal(err)
		}
		return func() {}
	}
	photos, _, err := Photos([]string{second})
	if err == nil {
		err = late.Check(context.Background(), photos)
	}
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, c := range r.held(t).Checks {
		for _, p := range c.Pieces {
			names = append(names, p.Name)
		}
	}
	if diff := cmp.Diff([]string{"belts/wallet/1", "belts/wallet~" + photos[0].SHA256[:8] + "/1"}, names); diff != "" {
		t.Error(diff)
	}
}

func TestABetterPhotoTakesThePlaceOfAnother(t *testing.T) {
	r := opened(t, 1)
	dir := folder(t, 1)
	check := func(names ...string) error {
		for i, name := range names {
			names[i] = filepath.Join(dir, name)
		}
		photos, _, err := Photos(names)
		if err != nil {
			t.Fatal(err)
		}
		return r.Check(context.Background(), photos)
	}
	if err := check("00.jpg"); err != nil {
		t.Fatal(err)
	}
	next, _, err := Photos([]string{filepath.Join(dir, "wallet.jpg")})
	if err != nil {
		t.Fatal(err)
	}
	if _, err = Replaced(r.held(t), "wallet.jpg", next[0]); err == nil {
		t.Error("found a photo that is not there")
	}
	if _, err = Replaced(r.held(t), "00.jpg", r.held(t).Checks[0].Photo); err == nil {
		t.Error("a photo takes its own place")
	}
	if r.Replaced, err = Replaced(r.held(t), "00.jpg", next[0]); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(dir, "wallet.jpg"), filepath.Join(dir, "00.jpg")); err != nil {
		t.Fatal(err)
	}
	if err := check("00.jpg"); err != nil {
		t.Fatal(err)
	}
	held := r.held(t)
	if len(held.Checks) != 1 || held.Checks[0].Corrects != r.Replaced.ID || held.Checks[0].Pieces[0].Name != "belts/00/1" {
		t.Errorf("%+v", held.Checks)
	}
	r.Replaced = nil
	if err := check("00.jpg"); err != nil || len(r.held(t).Checks) != 1 {
		t.Errorf("the new photo again: %v, %d checks", err, len(r.held(t).Checks))
	}
}

// Of two photos with one name in one path, each is found by what the report calls it.
func TestReplacedByTheNameInTheReport(t *testing.T) {
	held := belts()
	held.Checks[1].Photo.File = held.Checks[0].Photo.File
	by := shadebook.PhotoFile{File: "new.jpg", SHA256: hash("ee")}
	if _, err := Replaced(held, "a.jpg", by); err == nil {
		t.Error("one of two was taken")
	}
	for i, name := range photoNames(held.Checks[:2]) {
		if got, err := Replaced(held, name, by); err != nil || got != &held.Checks[i] {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
}

// A book that refuses ends the run with its error.
func TestARunEndsWithTheBooksError(t *testing.T) {
	r := opened(t, 2)
	photos, _, err := Photos([]string{folder(t, 3)})
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	begun := 0
	r.Begin = func(int) func() { // another bench rejects it just then
		begun++
		held, err := r.Book.BatchResult(ctx, "belts")
		if err == nil {
			_, err = r.Book.Decide(ctx, shadebook.Decision{Batch: "belts", Says: shadebook.Rejected, By: "Ann", Why: "a trial"}, held.Moves)
		}
		if err != nil {
			t.Fatal(err)
		}
		return func() { t.Error("a photo was stored") }
	}
	for range 2 { // the second time before any photo is checked
		if err := r.Check(ctx, photos); !errors.Is(err, shadebook.ErrDecided) || begun != 1 {
			t.Errorf("%v, want %v; begun %d times", err, shadebook.ErrDecided, begun)
		}
	}
	r.Batch = "none"
	if err := r.Check(ctx, photos); !errors.Is(err, shadebook.ErrNoRecord) {
		t.Errorf("%v, want %v", err, shadebook.ErrNoRecord)
	}
}
