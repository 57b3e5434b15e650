package calibrate

import (
	"math/rand/v2"
	"testing"
)

// Growing and shrinking in one pass must give what one step after another gives.
func TestAroundIsRepeatedSteps(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	n := &nodes{w: 23, h: 17}
	for _, share := range []float64{.03, .5, .97} {
		in := make([]bool, n.w*n.h)
		for i := range in {
			in[i] = r.Float64() < share
		}
		for reach := range 5 {
			for i := range in {
				grown, shrunk := false, true
				for y := max(i/n.w-reach, 0); y <= min(i/n.w+reach, n.h-1); y++ {
					for x := max(i%n.w-reach, 0); x <= min(i%n.w+reach, n.w-1); x++ {
						grown, shrunk = grown || in[y*n.w+x], shrunk && in[y*n.w+x]
					}
				}
				if g, s := n.grown(in, reach)[i], n.shrunk(in, reach)[i]; g != grown || s != shrunk {
					t.Fatalf("share %g, reach %d, node %d: grown %v, want %v; shrunk %v, want %v", share, reach, i, g, grown, s, shrunk)
				}
			}
		}
	}
}
