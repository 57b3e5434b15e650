package dye

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func TestBuildUpByHand(t *testing.T) {
	b := BuildUp{Full: 1.2, Rate: 2}
	// 1.2·(1 - e^-½) and 1.2·(1 - e^-1).
	near(t, "one coat", b.After(1), 1.2*(1-1/math.Sqrt(math.E)), rounding)
	near(t, "two", b.After(2), 1.2*(1-1/math.E), rounding)
	near(t, "none", b.After(0), 0, 0)
	near(t, "power", BuildUp{1.2, 4, 0, .5}.After(9), 1.8, rounding)
	// Sites of shape 1 fill as n/(n + rate); of a large shape as if alike.
	near(t, "shape 1", BuildUp{1.2, 2, 1, 0}.After(3), 1.2*3/5, rounding)
	near(t, "shape 1e9", BuildUp{1.2, 2, 1e9, 0}.After(3), b.After(3), 1e-8)
}

func TestFitCoatsFindsTheBuildUp(t *testing.T) {
	truth := BuildUp{Full: 1.3, Rate: 2.5}
	var coats []Coat
	for n := 1; n <= 6; n++ {
		coats = append(coats, Coat{n, truth.After(n), .01, 0})
	}
	c, err := FitCoats(coats, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	const grid = .07 // a step of the grid is 4 % in Full and 5 % in Rate, and they trade off
	near(t, "full", c.likely.Full/truth.Full, 1, grid)
	near(t, "rate", c.likely.Rate/truth.Rate, 1, grid)
	// .9 of 1.3 is passed at -2.5·ln(1-.9/1.3) = 2.95 coats, so with three.
	early, err := FitCoats(coats[:2], nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	f, err := early.Forecast(2, .85, 1.1)
	if err != nil || f.Likely != 1 || f.Least > 1 || f.Most < 1 || f.Never > .01 {
		t.Errorf("%+v, %v", f, err)
	}
}

// Pieces drawn from the prior, read with noise after two coats: the range holds
// the true number of coats as often as it says, and Never and Over come true in
// the share that they say.
func TestForecastHolds(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	const (
		trials = 300
		// 90 %, wider for being whole coats; three standard deviations of 300 draws.
		covers = .85
		share  = .07 // two and a half standard deviations of a share of 300
	)
	r := rand.New(rand.NewPCG(2, 2))
	const u = .08
	held, reached, never, saidNever, over, saidOver := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
	for range trials {
		kind, share, of := 0, r.Float64(), kinds(0)
		for share > of[kind].weight && kind < short {
			share -= of[kind].weight
			kind++
		}
		var at [2]float64
		for i := range at {
			at[i] = of[kind].mean[i] * math.Exp(of[kind].vary[i]*r.NormFloat64())
		}
		build, vary := buildUp(kind, at), varies()[r.IntN(len(varies()))]
		takes, fills := math.Exp(vary*r.NormFloat64()), math.Exp(vary*r.NormFloat64())
		build.Full, build.Rate = build.Full*takes, build.Rate*fills
		truth := []float64{0}
		for n := 1; n <= 2+MostCoats; n++ {
			truth = append(truth, truth[n-1]+(build.After(n)-build.After(n-1))*max(0, 1+byHand*r.NormFloat64()))
		}
		var coats []Coat
		for n := 1; n <= 2; n++ {
			coats = append(coats, Coat{n, max(.01, truth[n]+u/2*r.NormFloat64()), u, 0})
		}
		c, err := FitCoats(coats, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		f, err := c.Forecast(2, .9, 1.1)
		if err != nil {
			t.Fatal(err)
		}
		saidNever += f.Never / trials
		saidOver += f.Over / trials
		need := 0
		for need <= MostCoats && truth[2+need] < .9 {
			need++
		}
		if need > MostCoats {
			never += 1. / trials
			continue
		}
		if truth[2+need] > 1.1 {
			over += 1. / trials
		}
		reached++
		if f.Least <= need && need <= f.Most {
			held++
		}
	}
	t.Logf("held %.3f; never %.3f, said %.3f; over %.3f, said %.3f", held/reached, never, saidNever, over, saidOver)
	if held/reached < covers {
		t.Errorf("the range held the truth in %.3f", held/reached)
	}
	near(t, "never", saidNever, never, share)
	near(t, "over", saidOver, over, share)
}

func TestForecastAtItsEnds(t *testing.T) {
	flat, err := FitCoats([]Coat{{3, .5, .02, 0}, {4, .505, .02, 0}, {5, .5, .02, 0}}, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	if f, _ := flat.Forecast(5, .9, 1.1); f.Never < .95 {
		t.Errorf("a piece that stays at .5: %+v", f)
	}
	if f, _ := flat.Forecast(5, .3, 1.1); f.Most != 0 || f.Never > .01 {
		t.Errorf("a piece that is there: %+v", f)
	}
}

// A new piece is forecast from what the colour's pieces do: 1.3·(1 - e^-(n/2.5)) is
// .43, .72, .91, 1.04, so .83 takes three.
func TestForecastWithoutReadings(t *testing.T) {
	truth := BuildUp{Full: 1.3, Rate: 2.5}
	var piece []Coat
	for n := 1; n <= 4; n++ {
		piece = append(piece, Coat{n, truth.After(n), .04, 0})
	}
	c, err := FitCoats(nil, [][]Coat{piece, piece, piece, piece, piece, piece, piece, piece}, 0)
	if err != nil {
		t.Fatal(err)
	}
	if f, err := c.Forecast(0, .83, 1.1); err != nil || f.Likely != 3 {
		t.Errorf("%+v, %v", f, err)
	}
	if f, err := c.Forecast(2, .83, 1.1); err != nil || f.Likely != 1 {
		t.Errorf("after two coats that nobody read: %+v, %v", f, err)
	}
}

// A piece that stays at .5 is told so more surely by three photos after each coat than by
// one: what a photo has in common differs from photo to photo.
func TestMorePhotosTellMore(t *testing.T) {
	never := func(photos int) float64 {
		var coats []Coat
		for n := 3; n <= 5; n++ {
			for photo := range photos {
				coats = append(coats, Coat{n, .5, .1, int64(10*n + photo)})
			}
		}
		c, err := FitCoats(coats, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		f, err := c.Forecast(5, .9, 1.1)
		if err != nil {
			t.Fatal(err)
		}
		return f.Never
	}
	if one, three := never(1), never(3); !(1-three < (1-one)/2) {
		t.Errorf("never by one photo %.3f, by three %.3f", one, three)
	}
}

// Deep colours take many coats, which is common practice and no error.
func TestManyCoats(t *testing.T) {
	truth := BuildUp{Full: 1.2, Rate: 3}
	c, err := FitCoats([]Coat{{1, truth.After(1), .03, 0}, {2, truth.After(2), .04, 0}, {3, truth.After(3), .05, 0}}, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	const given = .5 // up to a half it is not said that a piece will never get there
	// .95 of 1.2 is passed at -3·ln(1-.95/1.2) = 4.7 coats.
	if f, err := c.Forecast(3, .95, 1.1); err != nil || f.Likely != 2 || f.Never > given {
		t.Errorf("%+v, %v", f, err)
	}
}

func TestFitCoatsRefuses(t *testing.T) {
	good := Coat{1, .5, .1, 0}
	for name, coats := range map[string][]Coat{
		"coat 0": {{0, .5, .1, 0}}, "coat 1000": {{1000, .5, .1, 0}}, "twice": {good, good},
		"no strength": {{1, 0, .1, 0}}, "NaN": {{1, math.NaN(), .1, 0}}, "certain": {{1, .5, 0, 0}},
		"twice in a photo": {{1, .5, .1, 7}, {1, .5, .1, 7}},
	} {
		if _, err := FitCoats(coats, nil, 0); !errors.Is(err, ErrCoats) {
			t.Errorf("%s: %v", name, err)
		}
	}
	c, _ := FitCoats([]Coat{good}, nil, 0)
	if _, err := c.Forecast(-1, 1, 1); !errors.Is(err, ErrCoats) {
		t.Errorf("−1 coats: %v", err)
	}
	for _, bad := range [][2]float64{{0, 1}, {1.1, .9}, {math.NaN(), 1}} {
		if _, err := c.Forecast(1, bad[0], bad[1]); !errors.Is(err, ErrCoats) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// A colour that is known to take three coats gets there sooner than one that takes six,
// by the same readings of its first piece, and is forecast more closely than one of
// which nothing is known.
func TestFitCoatsByTheUsualNumber(t *testing.T) {
	after := func(usual int) Forecast {
		c, err := FitCoats([]Coat{{1, .3, .1, 0}}, nil, usual)
		if err != nil {
			t.Fatal(err)
		}
		f, err := c.Forecast(1, .9, 1.1)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	three, six, unknown := after(3), after(6), after(0)
	if three.Likely >= six.Likely || three.Most-three.Least >= unknown.Most-unknown.Least {
		t.Errorf("three %+v, six %+v, unknown %+v", three, six, unknown)
	}
	for _, usual := range []int{-1, farthestCoat + 1} {
		if _, err := FitCoats(nil, nil, usual); !errors.Is(err, ErrCoats) {
			t.Errorf("%d coats usual: %v", usual, err)
		}
	}
}
