package check

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/disintegration/imaging"
)

// BenchmarkStages times each stage of the check of a demo photo enlarged to 12 MP, in
// milliseconds.
func BenchmarkStages(b *testing.B) {
	small, err := imaging.Open("../../../testdata/demo/bench.jpg")
	if err != nil {
		b.Fatal(err)
	}
	path := filepath.Join(b.TempDir(), "bench.jpg")
	if err := imaging.Save(imaging.Resize(small, 4000, 3000, imaging.Linear), path, imaging.JPEGQuality(92)); err != nil {
		b.Fatal(err)
	}
	var last time.Time
	took := map[string]time.Duration{}
	rq := Request{done: func(stage string) {
		now := time.Now()
		took[stage] += now.Sub(last)
		last = now
	}}
	for b.Loop() {
		last = time.Now()
		if out := Photo(path, rq); out.Error != "" {
			b.Fatal(out.Error)
		}
	}
	for stage, d := range took {
		b.ReportMetric(float64(d.Microseconds())/1000/float64(b.N), "ms-"+stage)
	}
}
