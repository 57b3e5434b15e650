package batch

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/picture"
	"evenhide/cmd/internal/record"
	"evenhide/cmd/internal/shadebook"
)

// Run checks photos into a batch.
type Run struct {
	Book     *shadebook.Book
	Batch    string
	Request  check.Request
	Workers  int                   // photos checked at once, a core each
	Replaced *shadebook.Check      // the check that the one photo takes the place of; nil for none
	Back     map[string]bool       // photos, by SHA-256, that are taken back if they were dropped, or their place was taken by one that was
	Begin    func(todo int) func() // told how many photos are to be checked; what it returns is called after each
}

// Check checks each of the photos that the batch does not hold yet and stores what
// it gave at once, a photo that cannot be judged as well. It stops at the first
// error of the book, or when ctx ends: photos that are being checked are then still
// stored. What is stored stays, and to check the same photos again goes on with
// the rest; the pieces get the same names as without a break.
func (r Run) Check(ctx context.Context, photos []shadebook.PhotoFile) error {
	todo, err := r.todo(ctx, photos)
	if err != nil {
		return err
	}
	var stored atomic.Int64
	each := r.Begin(len(todo))
	group, going := errgroup.WithContext(ctx)
	group.SetLimit(r.Workers)
	for _, p := range todo {
		if going.Err() != nil {
			break
		}
		group.Go(func() error {
			if going.Err() != nil { // it ended while this one waited for a worker
				return nil
			}
			if err := r.one(context.WithoutCancel(ctx), p); err != nil {
				return err
			}
			stored.Add(1)
			each()
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	if n := int(stored.Load()); ctx.Err() != nil {
		return refusal.New(ctx.Err(), "the same command again goes on with the rest", "stopped after %d of %d photos; they are stored", n, len(todo))
	}
	return nil
}

// task is a photo to be checked.
type task struct {
	shadebook.PhotoFile
	label    string // what its pieces are called after
	corrects int64  // the check that it takes the place of, or 0
}

// todo returns the photos that the batch does not hold.
func (r Run) todo(ctx context.Context, photos []shadebook.PhotoFile) (todo []task, err error) {
	stored, err := r.Book.StoredPhotos(ctx, r.Batch, "")
	if err != nil {
		return nil, err
	}
	held, err := r.Book.BatchResult(ctx, r.Batch)
	if err != nil {
		return nil, err
	}
	corrects := comeBack(held.Dropped)
	var all []shadebook.PhotoFile
	for _, p := range photos {
		_, out := corrects[p.SHA256]
		if stored[p.SHA256] != 0 && !(out && r.Back[p.SHA256]) {
			continue
		}
		t := task{PhotoFile: p, corrects: corrects[p.SHA256]}
		if r.Replaced != nil {
			t.corrects = r.Replaced.ID
		}
		todo, all = append(todo, t), append(all, p)
	}
	if len(todo) > 0 {
		if err := held.Batch.TakesPhotos(); err != nil {
			return nil, err
		}
	}
	for _, c := range held.Checks {
		if r.Replaced == nil || c.ID != r.Replaced.ID { // a photo may have the name of the one that it replaces
			all = append(all, c.Photo)
		}
	}
	labels := labels(all)
	for i := range todo {
		todo[i].label = labels[todo[i].SHA256]
	}
	return todo, nil
}

// comeBack returns the check that each photo that is out of the batch has to correct to
// be back in it, 0 for none: dropped ones, and those whose place a dropped one had taken.
func comeBack(dropped []shadebook.Drop) map[string]int64 {
	corrects := map[string]int64{}
	for _, d := range dropped {
		if !d.Replaced {
			for _, sha256 := range d.Over {
				corrects[sha256] = d.Check
			}
		}
	}
	for _, d := range dropped { // what it says of a photo itself counts more
		corrects[d.Photo.SHA256] = d.Check
		if d.Replaced {
			corrects[d.Photo.SHA256] = 0
		}
	}
	return corrects
}

// one checks a photo and stores it. Another process may have stored it meanwhile.
func (r Run) one(ctx context.Context, p task) error {
	rq := r.Request
	var small []byte
	var drawn error
	rq.Show = func(s picture.Subject) { small, drawn = record.Picture(s) }
	result := check.Photo(p.File, rq)
	evidence, err := record.Evidence(result, small)
	if err := errors.Join(drawn, err); err != nil {
		return err
	}
	add := func(label string) error {
		c := record.Check(result, p.SHA256, func(n int) string { return fmt.Sprintf("%s/%s/%d", r.Batch, label, n) })
		c.Batch, c.Corrects = r.Batch, p.corrects
		_, err := r.Book.AddCheck(ctx, c, evidence)
		return err
	}
	if err = add(p.label); errors.Is(err, shadebook.ErrNameTaken) { // another bench had a photo of that name just now
		err = add(p.label + "~" + p.SHA256[:8])
	}
	if errors.Is(err, shadebook.ErrStored) {
		return nil
	}
	return err
}

// Replaced returns the check in held whose place a new photo takes.
func Replaced(held shadebook.BatchResult, photo string, by shadebook.PhotoFile) (*shadebook.Check, error) {
	for _, c := range held.Checks {
		if c.Photo.SHA256 == by.SHA256 {
			return nil, refusal.New(nil, "take one more photo: each counts once", "%s: the batch %q holds this photo already", by.File, held.Batch.Name)
		}
	}
	return CheckOf(held, photo)
}

// CheckOf returns the check in held of the photo that a person names: by its path as it
// was stored, its file's name alone, or as Sum calls it.
func CheckOf(held shadebook.BatchResult, photo string) (*shadebook.Check, error) {
	var found []*shadebook.Check
	names := photoNames(held.Checks)
	for i, c := range held.Checks {
		if slices.Contains([]string{c.Photo.File, filepath.Base(c.Photo.File), names[i]}, photo) {
			found = append(found, &held.Checks[i])
		}
	}
	if len(found) == 0 {
		for _, d := range slices.Backward(held.Dropped) {
			if slices.Contains([]string{d.Photo.File, filepath.Base(d.Photo.File)}, photo) {
				return nil, refusal.New(nil, "evenhide batch check with it takes it back", "the batch %q holds no photo %s: it was dropped by %s", held.Batch.Name, photo, d.By)
			}
		}
	}
	if len(found) != 1 {
		return nil, refusal.New(nil, "give the photo's name as evenhide batch show --json has it, or its path as it was when it was checked",
			"the batch %q holds %d photos %s, wanted one", held.Batch.Name, len(found), photo)
	}
	return found[0], nil
}
