package dye

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// pieceOf returns the readings of a piece after coats 1 to n, with noise.
func pieceOf(r *rand.Rand, b BuildUp, n int, u float64) (coats []Coat) {
	for i := 1; i <= n; i++ {
		coats = append(coats, Coat{i, max(.01, b.After(i)+u/2*r.NormFloat64()), u})
	}
	return coats
}

// expected returns the mean and the standard deviation of a prior's strength after n
// coats.
func expected(t *testing.T, p Prior, n int) (mean, sd float64) {
	c, err := FitCoats(nil, p)
	if err != nil {
		t.Fatal(err)
	}
	square := 0.0
	for _, x := range c.cells {
		s := x.After(n)
		mean += x.p * s
		square += x.p * s * s
	}
	return mean, math.Sqrt(square - mean*mean)
}

// Pieces of one colour that vary by a tenth: what is learnt expects what they do, and
// varies less than what was assumed, though no less than they.
func TestPriorLearns(t *testing.T) {
	const (
		pieces     = 30
		nearTo     = .1 // of ln Full and ln Rate: 2/32 of the assumed, which is 0.3 away, and noise
		full, rate = 1.6, 3.0
		vary       = .1
	)
	r := rand.New(rand.NewPCG(4, 4))
	var earlier [][]Coat
	for range pieces {
		earlier = append(earlier, pieceOf(r, BuildUp{Full: full * math.Exp(vary*r.NormFloat64()), Rate: rate * math.Exp(vary*r.NormFloat64())}, 5, .03))
	}
	p, err := LearnPrior(earlier)
	if err != nil {
		t.Fatal(err)
	}
	d := DefaultPrior()
	for _, n := range []int{1, 3, 5} {
		learnt, spread := expected(t, p, n)
		_, was := expected(t, d, n)
		truth := BuildUp{Full: full, Rate: rate}.After(n)
		near(t, "strength", learnt/truth, 1, nearTo)
		if spread > .7*was || spread < vary*truth/2 {
			t.Errorf("after %d coats it is %.2f ± %.3f, was ± %.3f", n, learnt, spread, was)
		}
	}
	if none, _ := LearnPrior(nil); none != d {
		t.Errorf("no pieces give %v", none)
	}
	if _, err := LearnPrior([][]Coat{{{1, 0, .1}}}); !errors.Is(err, ErrCoats) {
		t.Errorf("no strength: %v", err)
	}
}

// With history the forecast of a new piece is closer than without.
func TestHistoryHelps(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	const trials, u, better = 150, .1, .8
	r := rand.New(rand.NewPCG(5, 5))
	draw := func() BuildUp {
		return BuildUp{Full: 2.2 * math.Exp(.08*r.NormFloat64()), Rate: 5 * math.Exp(.08*r.NormFloat64())}
	}
	var earlier [][]Coat
	for range 6 {
		earlier = append(earlier, pieceOf(r, draw(), 5, u))
	}
	learnt, err := LearnPrior(earlier)
	if err != nil {
		t.Fatal(err)
	}
	off := map[bool]float64{}
	for range trials {
		truth := draw()
		coats := pieceOf(r, truth, 2, u)
		need := 0
		for truth.After(2+need) < .9 {
			need++
		}
		for with, prior := range map[bool]Prior{true: learnt, false: DefaultPrior()} {
			c, err := FitCoats(coats, prior)
			if err != nil {
				t.Fatal(err)
			}
			f, err := c.Forecast(2, .9, 1.1)
			if err != nil {
				t.Fatal(err)
			}
			off[with] += math.Abs(float64(f.Likely-need)) / trials
		}
	}
	t.Logf("coats out: %.2f with history, %.2f without", off[true], off[false])
	if off[true] > better*off[false] {
		t.Errorf("coats out: %.2f with history, %.2f without", off[true], off[false])
	}
}

// Whatever is read, what is learnt is a prior, and the forecast is in order.
func TestForecastIsInOrder(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	rapid.Check(t, func(rt *rapid.T) {
		percent := func(what string, lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(rt, what)) / 100 }
		read := func(what string) (coats []Coat) {
			for n := 1; n <= rapid.IntRange(0, 4).Draw(rt, what); n++ {
				coats = append(coats, Coat{n, percent("strength", 1, 300), percent("u", 1, 100)})
			}
			return coats
		}
		prior, err := LearnPrior([][]Coat{read("earlier")})
		if err != nil {
			rt.Fatal(err)
		}
		c, err := FitCoats(read("piece"), prior)
		if err != nil {
			rt.Fatal(err)
		}
		has, low := rapid.IntRange(4, 9).Draw(rt, "has"), percent("low", 5, 200)
		f, err := c.Forecast(has, low, 1.2*low)
		if err != nil {
			rt.Fatal(err)
		}
		if !(0 <= f.Least && f.Least <= f.Likely && f.Likely <= f.Most && f.Most <= MostCoats && f.Never >= 0 && f.Never <= 1 && f.Over >= 0 && f.Over <= 1+rounding) {
			rt.Fatalf("%+v", f)
		}
		// One coat later what is left is one less, or it is there.
		later, err := c.Forecast(has+1, low, 1.2*low)
		if err != nil || later.Never > f.Never+rounding {
			rt.Fatalf("%+v, and with one coat more %+v, %v", f, later, err)
		}
	})
}

// A mix that is too thin is known by its earlier pieces, once they were read late: a new
// one is then not sent on for more coats. Pieces read after two coats, however many,
// leave the kinds as likely as they were.
func TestThinMixIsLearnt(t *testing.T) {
	const u, likely = .05, .5
	r := rand.New(rand.NewPCG(6, 6))
	thin := BuildUp{Full: .7, Rate: 1.6}
	never := func(earlier [][]Coat) float64 {
		p, err := LearnPrior(earlier)
		if err != nil {
			t.Fatal(err)
		}
		c, err := FitCoats(pieceOf(r, thin, 2, u), p)
		if err != nil {
			t.Fatal(err)
		}
		f, err := c.Forecast(2, .9, 1.1)
		if err != nil {
			t.Fatal(err)
		}
		return f.Never
	}
	var late, early [][]Coat
	for range 8 {
		late, early = append(late, pieceOf(r, thin, 6, u)), append(early, pieceOf(r, thin, 2, u))
	}
	if n := never(late); n < likely {
		t.Errorf("never %.2f after eight pieces that ended short", n)
	}
	p, err := LearnPrior(early)
	if err != nil {
		t.Fatal(err)
	}
	for k, d := range DefaultPrior() {
		near(t, "weight", p[k].Weight, d.Weight, rounding)
	}
}
