package main

import (
	"io"
	"path/filepath"
	"testing"

	"github.com/disintegration/imaging"
)

// BenchmarkCheck is a whole check of a demo photo enlarged to 12 MP. scripts/profile
// takes from it where the time goes.
func BenchmarkCheck(b *testing.B) {
	small, err := imaging.Open("../../testdata/demo/bench.jpg")
	if err != nil {
		b.Fatal(err)
	}
	path := filepath.Join(b.TempDir(), "bench.jpg")
	if err := imaging.Save(imaging.Resize(small, 4000, 3000, imaging.Linear), path, imaging.JPEGQuality(92)); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if code, err := run([]string{"check", path}, io.Discard); err != nil || code != someDoNot {
			b.Fatal(code, err)
		}
	}
}
