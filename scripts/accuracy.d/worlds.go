package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"
)

// worlds are those that dyes are tried in.
func worlds() []world { return []world{proportional, bent} }

// inWorlds tries n scenes in each light and world, and returns what they gave in an
// order that does not hang on which was done first.
func inWorlds[T fmt.Stringer](o options, n int, try func(j job, w world) ([]T, error)) ([]T, error) {
	var all []T
	var mu sync.Mutex
	var workers errgroup.Group
	workers.SetLimit(2)
	lights := strings.Split(o.lights, ",")
	for i := range n {
		for k, light := range lights {
			for _, w := range worlds() {
				j := job{light, uint64(o.first + len(lights)*i + k)} // no two photos of one scene
				workers.Go(func() error {
					some, err := try(j, w)
					mu.Lock()
					defer mu.Unlock()
					all = append(all, some...)
					return err
				})
			}
		}
	}
	err := workers.Wait()
	slices.SortStableFunc(all, func(a, b T) int { return cmp.Compare(a.String(), b.String()) })
	return all, err
}
