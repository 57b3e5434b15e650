package main

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"

	"evenhide/calibrate/scene"
)

// kind is what a check of a photo stands for: where its reference came from, or
// what the photo shows.
type kind string

const (
	inFrame    kind = "in frame"
	sameLight  kind = "stored, same light"
	otherLight kind = "stored, other light"
	even       kind = "even"
)

// job is one colour in one light.
type job struct {
	light string
	seed  uint64
}

// result is what one check made of one photo.
type result struct {
	job
	kind  kind
	truth scene.Truth
	photo photo
}

// trial takes photos, has them checked and gathers what came of it.
type trial struct {
	*stage
	remove bool // the folder, at the end

	mu      sync.Mutex
	results []result
}

func newTrial(o options) (*trial, error) {
	level, known := map[string]scene.Disturbance{"calm": scene.Calm, "usual": scene.Usual, "hard": scene.Hard}[o.level]
	if !known {
		return nil, fmt.Errorf("no level %q: calm, usual or hard", o.level)
	}
	st, err := newStage(level, o.keep)
	if err != nil {
		return nil, err
	}
	t := &trial{stage: st, remove: o.keep == ""}
	if t.remove {
		st.dir, err = os.MkdirTemp("", "evenhide-accuracy")
	} else {
		err = os.MkdirAll(st.dir, 0o777)
	}
	return t, err
}

func (t *trial) close() {
	if t.remove {
		os.RemoveAll(t.dir)
	}
}

// all does every job, on all processors.
func (t *trial) all(lights []string, photos, first int) error {
	queue := make(chan job)
	var wg sync.WaitGroup
	var errs []error
	for range runtime.NumCPU() {
		wg.Go(func() {
			for j := range queue {
				r, err := t.one(j)
				t.mu.Lock()
				t.results = append(t.results, r...)
				if err != nil {
					errs = append(errs, fmt.Errorf("%s %d: %w", j.light, j.seed, err))
				}
				t.mu.Unlock()
			}
		})
	}
	for i := range photos {
		for _, light := range lights {
			queue <- job{light, uint64(first + i)}
		}
	}
	close(queue)
	wg.Wait()
	slices.SortFunc(t.results, func(a, b result) int { // in no order of goroutines
		return cmp.Or(cmp.Compare(a.light, b.light), cmp.Compare(a.seed, b.seed), cmp.Compare(a.kind, b.kind))
	})
	return errors.Join(errs...)
}

// one checks a photo by the swatch in it, and by what the swatch of the same
// colour read in an earlier photo in the same light and in another. Daylight
// stands for all lights in how even an even piece comes out.
func (t *trial) one(j job) ([]result, error) {
	path := filepath.Join(t.dir, fmt.Sprintf("%v-%s-%d.jpg", t.level, j.light, j.seed))
	truth, err := t.shoot(t.scene(j.seed, j.light), path)
	if err != nil {
		return nil, err
	}
	var out []result
	add := func(k kind, path string, truth scene.Truth, options ...string) error {
		seen, err := check(path, options...)
		out = append(out, result{j, k, truth, seen})
		return err
	}
	if err := add(inFrame, path, truth); err != nil {
		return nil, err
	}
	if lab, ok, err := t.earlier(j); err != nil {
		return nil, err
	} else if ok {
		if err := add(sameLight, path, truth, "--reference", lab, "--same-light"); err != nil {
			return nil, err
		}
	}
	if lab, ok, err := t.earlier(job{otherThan(j), j.seed}); err != nil {
		return nil, err
	} else if ok {
		if err := add(otherLight, path, truth, "--reference", lab); err != nil {
			return nil, err
		}
	}
	if j.light != scene.D65 {
		return out, nil
	}
	path = filepath.Join(t.dir, fmt.Sprintf("%v-%s-%d-even.jpg", t.level, j.light, j.seed))
	truth, err = t.shoot(evenly(t.scene(j.seed, j.light)), path)
	if err != nil {
		return nil, err
	}
	return out, add(even, path, truth)
}

// otherThan returns another light than the job's, a different one for each seed.
func otherThan(j job) string {
	all := lights()
	if light := all[int(j.seed)%len(all)]; light != j.light {
		return light
	}
	return all[(int(j.seed)+1)%len(all)]
}

// earlier returns what the swatch read in the job's earlier photo: the same colour,
// phone and card, laid out and lit anew. It is false when that photo was refused.
func (t *trial) earlier(j job) (lab string, ok bool, err error) {
	path := filepath.Join(t.dir, fmt.Sprintf("%v-%s-%d-earlier.jpg", t.level, j.light, j.seed))
	const far = 100000 // from any seed of a later photo
	if _, err := t.shoot(t.again(t.scene(j.seed, j.light), j.seed+far, j.light), path); err != nil {
		return "", false, err
	}
	seen, err := check(path)
	if err != nil || seen.Reference == nil {
		return "", false, err
	}
	v := seen.Reference.Lab
	return fmt.Sprintf("%.4f,%.4f,%.4f", v[0], v[1], v[2]), true, nil
}
