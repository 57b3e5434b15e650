package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"
)

// flatSheet returns the nodes of an evenly lit sheet of w by h nodes in the corner of
// a photo, with noise of 1 %.
func flatSheet(r *rand.Rand, w, h int) []probe {
	var probes []probe
	blocks := (w + blockNodes - 1) / blockNodes
	for i := range w * h {
		p := probe{at: Point{float64(i%w) + .5, float64(i/w) + .5}, block: i/w/blockNodes*blocks + i%w/blockNodes}
		for k := range p.log {
			p.log[k] = .01 * r.NormFloat64()
		}
		probes = append(probes, p)
	}
	return probes
}

// A sheet too small to tell how far its light may be wrong must not be believed, and
// what is said of one that is just large enough must be about what it is off by.
func TestSmallSheetsOwnTheirDoubt(t *testing.T) {
	const trials = 60
	for _, c := range []struct {
		w, h, photo int // nodes; the photo is a square
		known       bool
	}{
		{32, 32, 32, false}, // 4 blocks: fewer than the surface has terms
		{32, 32, 64, false},
		{64, 32, 64, false},  // 8 blocks, but in two rows: the bend across them is anyone's guess
		{48, 40, 200, false}, // 9 blocks, in a corner of the photo
		{48, 40, 64, true},   // 9 blocks over half of the photo
		{96, 96, 128, true},  // over half of each side
	} {
		r := rand.New(rand.NewPCG(5, 8))
		var real, said float64
		for range trials {
			half := float64(c.photo) / 2
			l, ok := fitLight(flatSheet(r, c.w, c.h), Point{half, half}, half, false)
			if ok != c.known {
				t.Fatalf("%d×%d nodes in a photo of %d: known %v, want %v", c.w, c.h, c.photo, ok, c.known)
			}
			if !ok {
				continue
			}
			l.reach = blockNodes
			x0, y0, x1, y1 := float64(c.w)/2, float64(c.h)/2, float64(c.photo), float64(c.photo)
			at := l.RelativeTo(x0, y0).At(x1, y1)
			off := math.Log(at.R*at.G*at.B) / 3
			level, _ := l.Relative(x0, y0, x1, y1)
			real, said = real+off*off/trials, said+level*level/trials
		}
		real, said = math.Sqrt(real), math.Sqrt(said)
		if c.known {
			t.Logf("%d×%d nodes in a photo of %d: said %.4f, off by %.4f of log light", c.w, c.h, c.photo, said, real)
		}
		// With two blocks more than terms, 60 trials know the root mean square of what is
		// said to a tenth; blocks at the rim are part blocks, and count in full.
		if said < .6*real || said > 1.7*real {
			t.Errorf("%d×%d nodes in a photo of %d: said %.4f, off by %.4f of log light", c.w, c.h, c.photo, said, real)
		}
	}
}
