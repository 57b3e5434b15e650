package scene

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestFieldsCorrelationLength(t *testing.T) {
	// A 200×200 mm field holds some 2,000 patches of 4 mm: its autocorrelation is
	// known to about 0.03; at half and twice the length the theory gives 0.78, 0.02.
	const sampling = 0.08
	f := newField(rand.New(rand.NewPCG(1, 2)), Point{0, 0}, Point{200, 200}, 8, 4, 30)
	sin, cos := math.Sincos(radians(30))
	correlation := func(dx, dy float64) float64 {
		var ab, aa float64
		for y := 20.0; y < 180; y += 1.3 {
			for x := 20.0; x < 180; x += 1.3 {
				a := f.at(Point{x, y})
				ab += a * f.at(Point{x + dx, y + dy})
				aa += a * a
			}
		}
		return ab / aa
	}
	for _, c := range []struct{ along, across, want float64 }{
		{8, 0, 1 / math.E}, {0, 4, 1 / math.E}, {4, 0, math.Exp(-.25)}, {0, 8, math.Exp(-4)},
	} {
		got := correlation(cos*c.along-sin*c.across, sin*c.along+cos*c.across)
		t.Logf("%g along, %g across: %.3f, want %.3f", c.along, c.across, got, c.want)
		if math.Abs(got-c.want) > sampling {
			t.Errorf("%g along, %g across: %.3f, want %.3f", c.along, c.across, got, c.want)
		}
	}
}

func TestGrainIsStandardAndRepeats(t *testing.T) {
	g := newGrain(rand.New(rand.NewPCG(1, 1)))
	var mean, square float64
	for _, v := range g {
		mean += float64(v) / float64(len(g))
		square += float64(v) * float64(v) / float64(len(g))
	}
	const float = 1e-5
	if math.Abs(mean) > float || math.Abs(square-1) > float {
		t.Errorf("mean %g, mean square %g", mean, square)
	}
	const period = grainSide * grainStep
	a, b := grainAt(g, Point{3.14, -2.7}), grainAt(g, Point{3.14 - period, -2.7 + 2*period})
	if math.Abs(a-b) > float {
		t.Errorf("a period away %g, not %g", b, a)
	}
}
