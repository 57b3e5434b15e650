package scene

import (
	"math"
	"testing"

	"evenhide/colour"
)

func TestBlotchIsWhatWasAskedAndWhatAPhotoShows(t *testing.T) {
	// The amplitude is sought with fewer places a tile than the truth is counted
	// with, in three steps.
	const sought = 0.03
	// The photo's tiles are read from 8-bit codes. Noise of 0.6 codes keeps their
	// rounding from being the same over a whole tile; over the 70 pixels of a tile
	// what is left of both is under 0.1 ΔE00, which adds in squares: 0.01 to 0.5.
	const read = 0.02
	s := loadSpectra(t)
	harrow, _ := DyeNamed("Harrow brown")
	for _, want := range []float64{0.5, 2, 4} {
		sc := plainScene(Item{Kind: Piece, Outline: Rect(110, 80, 0), Pose: Pose{X: 60, Y: 45},
			Material: Leather(Blend{{harrow, 1}}, 1), Surface: Surface{Blotch: want}})
		sc.Width, sc.Height = 800, 600 // 6.67 px/mm
		sc.Camera.Read = .0015
		img, truth := mustRender(t, sc, s)
		it := truth.Items[0]
		if math.Abs(it.Blotch/want-1) > sought || it.Uneven != it.Blotch {
			t.Errorf("asked for %g: blotch %.3f, uneven %.3f", want, it.Blotch, it.Uneven)
		}
		got := bruteRMS(img.Pix, img.Stride, truth)
		t.Logf("asked %g, truth %.3f, counted in the photo %.3f", want, it.Blotch, got)
		if math.Abs(got-it.Blotch) > read*max(1, want) {
			t.Errorf("truth %.3f, counted in the photo %.3f", it.Blotch, got)
		}
	}
}

// bruteRMS counts the RMS ΔE00 of 1.27 mm tiles about their mean in the pixels
// of an ideal camera's photo, inside the item by 1 mm.
func bruteRMS(pix []uint8, stride int, truth Truth) float64 {
	a, b := truth.ToPixels.At(Point{6, 6}), truth.ToPixels.At(Point{114, 84})
	step := truth.ToPixels.At(Point{1.27, 0}).X - truth.ToPixels.At(Point{}).X
	var tiles [][3]float64
	for y := a.Y; y+step <= b.Y; y += step {
		for x := a.X; x+step <= b.X; x += step {
			var mean [3]float64
			n := 0.0
			for j := int(math.Round(y)); j < int(math.Round(y+step)); j++ {
				for i := int(math.Round(x)); i < int(math.Round(x+step)); i++ {
					for c := range mean {
						mean[c] += decode(float64(pix[j*stride+4*i+c]) / 255)
					}
					n++
				}
			}
			tiles = append(tiles, [3]float64{mean[0] / n, mean[1] / n, mean[2] / n})
		}
	}
	var mean [3]float64
	for _, v := range tiles {
		for c := range mean {
			mean[c] += v[c] / float64(len(tiles))
		}
	}
	total := 0.0
	for _, v := range tiles {
		d := deltaE2000(labOf(mean), labOf(v))
		total += d * d
	}
	return math.Sqrt(total / float64(len(tiles)))
}

func TestStreaksRunWhereTheTruthSays(t *testing.T) {
	s := loadSpectra(t)
	harrow, _ := DyeNamed("Harrow brown")
	sc := plainScene(Item{Kind: Piece, Outline: Rect(80, 60, 0), Pose: Pose{X: 60, Y: 45, Angle: 10},
		Material: Leather(Blend{{harrow, 1}}, 1), Surface: Surface{Streak: 2, StreakAngle: 30}})
	sc.View.Rotation = 25
	img, truth := mustRender(t, sc, s)
	it := truth.Items[0]
	if want := 115.0; math.Abs(it.StreakAngle-want) > 1e-6 { // 180 - (10 + 30 + 25), the scene's angles being clockwise
		t.Errorf("streaks at %g°, want %g", it.StreakAngle, want)
	}
	// Pixels vary far less along the streaks than across them.
	vary := func(angle float64) float64 {
		sin, cos := math.Sincos(radians(-angle))
		total := 0.0
		for k := range 400 {
			x, y := it.Box.Min.X+k*it.Box.Dx()/400, it.Box.Min.Y+(k*37%400)*it.Box.Dy()/400
			x2, y2 := x+int(math.Round(8*cos)), y+int(math.Round(8*sin))
			a, b := float64(img.Pix[y*img.Stride+4*x]), float64(img.Pix[y2*img.Stride+4*x2])
			total += (a - b) * (a - b)
		}
		return total
	}
	along, across := vary(it.StreakAngle), vary(it.StreakAngle+90)
	t.Logf("squared differences %.0f along, %.0f across", along, across)
	if along*5 > across {
		t.Errorf("squared differences %.0f along the streaks, %.0f across", along, across)
	}
}

func TestSlopeAndHideAreWhatWasAsked(t *testing.T) {
	const sought = 0.03 // as for the blotch
	s := loadSpectra(t)
	harrow, _ := DyeNamed("Harrow brown")
	outline, at := Rect(110, 80, 0), Pose{X: 60, Y: 45}
	_, truth := mustRender(t, plainScene(Item{Outline: outline, Pose: at, Material: Leather(Blend{{harrow, 1}}, 1), Surface: Surface{Slope: 3}}), s)
	if got := truth.Items[0].Slope; math.Abs(got/3-1) > sought {
		t.Errorf("asked for a slope of 3, got %.3f", got)
	}
	// Hide 2 L* lighter than usual, within the curvature of L* over log K/S.
	_, truth = mustRender(t, plainScene(
		Item{Outline: Rect(40, 40, 0), Pose: Pose{X: 30, Y: 45}, Material: BareHide()},
		Item{Outline: Rect(40, 40, 0), Pose: Pose{X: 90, Y: 45}, Material: BareHide(), Surface: Surface{HideL: 2}}), s)
	if got := truth.Items[1].Lab.L - truth.Items[0].Lab.L; math.Abs(got-2) > .1 {
		t.Errorf("asked for a hide 2 L* lighter, got %.3f", got)
	}
}

func TestLawBendsTheStrength(t *testing.T) {
	// Half the reference strength under the law 0.8 absorbs as 0.5^0.8 of it does
	// in proportion.
	s := loadSpectra(t)
	e, err := s.newEye("", "", "")
	if err != nil {
		t.Fatal(err)
	}
	b := Blend{{Dyes()[1], 1}}
	got := e.lab(e.table(Leather(b, .5), .8).at(1, 0).xyz)
	want := e.lab(e.table(Leather(b, math.Pow(.5, .8)), 1).at(1, 0).xyz)
	const table = 0.01 // how finely the tables are spaced, as their comment says
	if d := deltaE2000(got, want); d > table {
		t.Errorf("%.3f, want %.3f", got, want)
	}
}

func TestLargestRectangle(t *testing.T) {
	rows := []string{"..#.....", "........", "#.......", "....#..#"}
	var free []bool
	for _, r := range rows {
		for _, c := range r {
			free = append(free, c == '.')
		}
	}
	best := 0 // by trying every rectangle
	for x0 := range 8 {
		for x1 := x0 + 1; x1 <= 8; x1++ {
			for y0 := range 4 {
				for y1 := y0 + 1; y1 <= 4; y1++ {
					whole := true
					for y := y0; y < y1; y++ {
						for x := x0; x < x1; x++ {
							whole = whole && free[y*8+x]
						}
					}
					if whole {
						best = max(best, (x1-x0)*(y1-y0))
					}
				}
			}
		}
	}
	r := largest(free, 8, 4)
	if r.Dx()*r.Dy() != best {
		t.Errorf("%v has %d cells, the largest %d", r, r.Dx()*r.Dy(), best)
	}
}

func TestTruthLeavesOutWhatIsNotLeather(t *testing.T) {
	s := loadSpectra(t)
	harrow, _ := DyeNamed("Harrow brown")
	item := Item{Kind: Piece, Outline: Rect(100, 70, 5), Pose: Pose{X: 60, Y: 45}, Material: Leather(Blend{{harrow, 1}}, 1)}
	_, bare := mustRender(t, plainScene(item), s)
	item.Surface = Surface{
		Stitch:   Stitch{Inset: 4, Thread: colour.Lab{L: 90}},
		Fittings: []Fitting{{Circle{Point{30, 20}, 5}, colour.Lab{L: 70}}},
		Glare:    []Glare{{Circle{Point{-30, 10}, 4}, .6}},
	}
	item.Holes = []Circle{{Point{0, 0}, 6}}
	cover := Item{Kind: Other, Outline: Rect(10, 10, 0), Pose: Pose{X: 40, Y: 25}, Material: Plain(colour.Lab{L: 90})}
	img, truth := mustRender(t, plainScene(item, cover), s)
	if d := deltaE2000(truth.Items[0].Lab, bare.Items[0].Lab); d > 0.01 { // glare under glareSeen is left in
		t.Errorf("thread, metal, glare, hole or cover moved the mean by %.3f", d)
	}
	mean, variance := meanLinear(img, truth.Items[0].Box)
	if d := deltaE2000(labOf(mean), bare.Items[0].Lab); d > roundingOf(bare.Items[0].Lab) || variance[1] > 1e-6 { // an even box
		t.Errorf("box %v reads ΔE00 %.2f off, variance %g", truth.Items[0].Box, d, variance[1])
	}
}

func TestPatchyIsBlotchWithoutSlope(t *testing.T) {
	// Blotches of 4 mm on 110×80 mm leave a plane through them of √(3/600) of their
	// RMS; the sought amplitude's own miss cancels, as both are of one body.
	const planeTakes = 0.02
	// The log of strength is straight from end to end, Lab nearly so: over 3 ΔE00
	// it bends by a few hundredths.
	const bend = 0.1
	s := loadSpectra(t)
	harrow, _ := DyeNamed("Harrow brown")
	truth := func(f Surface) ItemTruth {
		f.BlotchSize = 4
		_, tr := mustRender(t, plainScene(Item{Outline: Rect(110, 80, 0), Pose: Pose{X: 60, Y: 45},
			Material: Leather(Blend{{harrow, 1}}, 1), Surface: f}), s)
		return tr.Items[0]
	}
	blotch := truth(Surface{Blotch: 2})
	if math.Abs(blotch.Patchy/blotch.Blotch-1) > planeTakes {
		t.Errorf("blotch %.3f, patchy %.3f", blotch.Blotch, blotch.Patchy)
	}
	if got := truth(Surface{Slope: 3}).Patchy; got > bend {
		t.Errorf("a slope alone is patchy by %.3f", got)
	}
	marked := truth(Surface{Blotch: 2, Slope: 3, Grain: .06, Crease: 3})
	if math.Abs(marked.Patchy-blotch.Patchy) > bend {
		t.Errorf("with slope, grain and crease patchy by %.3f, without by %.3f", marked.Patchy, blotch.Patchy)
	}
	both := truth(Surface{Blotch: 2, Streak: 2})
	if want := math.Hypot(2, 2); math.Abs(both.Patchy/want-1) > .1 { // one cause is not quite independent of the other on one piece
		t.Errorf("blotch and streaks of 2 each are patchy by %.3f, want about %.3f", both.Patchy, want)
	}
}
