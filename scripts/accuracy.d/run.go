package main

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"evenhide/calibrate/scene"
)

// run does what the command line asks for.
func run(args []string) error {
	fs := flag.NewFlagSet("accuracy", flag.ContinueOnError)
	photos := fs.Int("photos", 50, "photos in each light")
	first := fs.Int("seed", 1, "seed of the first")
	level := fs.String("level", "hard", "calm, usual or hard")
	given := fs.Bool("given", false, "take the pieces' places from the truth")
	keep := fs.String("keep", "", "folder to keep the photos in")
	worst := fs.Int("worst", 0, "list that many of the worst pieces")
	if err := fs.Parse(args); err != nil {
		return err
	}
	st, err := newStage(map[string]scene.Disturbance{"calm": scene.Calm, "usual": scene.Usual, "hard": scene.Hard}[*level])
	if err != nil {
		return err
	}
	dir := *keep
	if dir == "" {
		if dir, err = os.MkdirTemp("", "evenhide-accuracy"); err != nil {
			return err
		}
		defer os.RemoveAll(dir)
	} else if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	t := trial{stage: st, dir: dir, keep: *keep != "", given: *given}
	var jobs []job
	for _, light := range lights() {
		for i := range *photos {
			jobs = append(jobs, job{light, uint64(*first + i)})
		}
	}
	if err := t.all(jobs); err != nil {
		return err
	}
	if *worst > 0 {
		for _, k := range []kind{inFrame, sameLight} {
			var ps []pair
			for _, r := range t.results {
				if r.kind == k {
					ps = append(ps, r.pairs(t.given)...)
				}
			}
			worstOf(os.Stdout, near(ps), *worst)
		}
	}
	return t.table().print(os.Stdout)
}

// lights are those the figures are given for, one of each kind.
func lights() []string {
	return []string{scene.D65, scene.D50, scene.NeutralLED, scene.WarmLED, scene.CoolWhite, scene.Tungsten}
}

// job is one photo, and the second one for the stored references.
type job struct {
	light string
	seed  uint64
}

// trial runs jobs and gathers what came of them.
type trial struct {
	*stage
	dir   string
	keep  bool // the photos
	given bool // the pieces' places

	mu      sync.Mutex
	results []result
}

func (t *trial) all(jobs []job) error {
	var wg sync.WaitGroup
	queue := make(chan job)
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
	for _, j := range jobs {
		queue <- j
	}
	close(queue)
	wg.Wait()
	return errors.Join(errs...)
}

// one takes a photo and a second one in the same light, and checks the first with
// its own swatch and by what the second's swatch read, known to be in the same
// light and not.
func (t *trial) one(j job) ([]result, error) {
	sc := t.scene(j.seed, j.light)
	path := filepath.Join(t.dir, fmt.Sprintf("%s-%d.jpg", j.light, j.seed))
	truth, err := t.shoot(sc, path)
	if err != nil {
		return nil, err
	}
	var places []string
	if t.given {
		places = boxes(truth)
	}
	seen, err := check(path, places...)
	if err != nil {
		return nil, err
	}
	out := []result{{job: j, kind: inFrame, truth: truth, photo: seen}}
	for _, other := range []struct {
		kind  kind
		light string
	}{{sameLight, j.light}, {otherLight, lights()[int(j.seed)%len(lights())]}} {
		if other.kind == otherLight && other.light == j.light {
			other.light = lights()[(int(j.seed)+1)%len(lights())]
		}
		r, err := t.stored(sc, j, other.kind, other.light, path, truth, places)
		if err != nil {
			return nil, err
		}
		out = append(out, r...)
	}
	if t.keepNone() {
		os.Remove(path)
	}
	return out, nil
}

func (t *trial) keepNone() bool {
	return filepath.Base(t.dir) != t.dir && filepath.Dir(t.dir) == os.TempDir()
}

// stored checks the photo at path against the swatch as another photo read it.
func (t *trial) stored(sc scene.Scene, j job, k kind, light, path string, truth scene.Truth, places []string) ([]result, error) {
	const far = 100000 // from any seed of a first photo
	before := filepath.Join(t.dir, fmt.Sprintf("%s-%d-%s.jpg", j.light, j.seed, k))
	defer os.Remove(before)
	earlier, err := t.shoot(t.again(sc, j.seed+far, light), before)
	if err != nil {
		return nil, err
	}
	first, err := check(before, boxes(earlier)[:2]...)
	if err != nil || first.Reference == nil {
		return nil, err // the earlier photo was refused: nothing is stored
	}
	lab := first.Reference.Lab
	options := append([]string{"--reference", fmt.Sprintf("%.4f,%.4f,%.4f", lab[0], lab[1], lab[2])}, places...)
	if k == sameLight {
		options = append(options, "--same-light")
	}
	seen, err := check(path, options...)
	return []result{{job: j, kind: k, truth: truth, photo: seen}}, err
}

// boxes returns the pieces' places as options.
func boxes(t scene.Truth) []string {
	var out []string
	for i, it := range t.Items {
		if b := it.Box; it.Kind == scene.Piece && !b.Empty() {
			out = append(out, "--piece", fmt.Sprintf("%d=%d,%d,%d,%d", i, b.Min.X, b.Min.Y, b.Dx(), b.Dy()))
		}
	}
	return out
}
