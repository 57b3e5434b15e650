package scene

import "testing"

func TestRandomScenesAreWhole(t *testing.T) {
	s := loadSpectra(t)
	kinds := map[int]bool{}
	for _, level := range []Disturbance{Calm, Usual, Hard} {
		for seed := range uint64(2) {
			sc := Random(seed, level)
			if sc.Width*sc.Height < 3_000_000 {
				t.Errorf("%v %d: %d×%d", level, seed, sc.Width, sc.Height)
			}
			sc.Width, sc.Height = 800, 600
			_, truth := mustRender(t, sc, s)
			count := map[Kind]int{}
			for _, it := range truth.Items {
				count[it.Kind]++
				if it.Kind != Other && it.Box.Empty() {
					t.Errorf("%v %d: %s has no box", level, seed, it.Name)
				}
				if it.Kind == Piece && !(it.DeltaE >= 0 && it.DeltaE < 60 && it.Lab.L > 0 && it.Strength > 0) {
					t.Errorf("%v %d: %s %+v", level, seed, it.Name, it)
				}
			}
			kinds[count[Piece]] = true
			if count[Step] != 6 || count[Swatch] != 1 || count[Hide] != 1 || count[Piece] < 1 || count[Piece] > 12 {
				t.Errorf("%v %d: %v", level, seed, count)
			}
		}
	}
	if len(kinds) < 3 {
		t.Errorf("only %d different numbers of pieces", len(kinds))
	}
}
