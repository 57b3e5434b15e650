package scene

import (
	"image"
	"math"
	"testing"

	"evenhide/colour"
)

// lightAt reads the light of a white sheet at a place, from a plain photo.
func lightAt(img *image.RGBA, h Homography, p Point) float64 {
	q := h.At(p)
	x, y := int(math.Round(q.X)), int(math.Round(q.Y))
	mean, _ := meanLinear(img, image.Rect(x-1, y-1, x+1, y+1))
	return mean[1]
}

// oneCode is the light of one code at about half of full scale, where these
// tests look.
const oneCode = 0.007

func TestLampFollowsTheInverseSquare(t *testing.T) {
	s := loadSpectra(t)
	sc := plainScene()
	sc.Camera.Exposure = -1
	sc.Light.Lamp, sc.Light.Height = Point{60, 45}, 100
	img, truth := mustRender(t, sc, s)
	for _, r := range []float64{0, 20, 40, 50} {
		// Below the lamp 1; at r the distance² is h²+r² and the cosine h/√(h²+r²).
		want := .5 * math.Pow(1/(1+r*r/1e4), 1.5)
		if got := lightAt(img, truth.ToPixels, Point{60 + r, 45}); math.Abs(got-want) > oneCode {
			t.Errorf("%g mm from under the lamp: %.4f, want %.4f", r, got, want)
		}
	}
}

func TestVignetteAndShadowEdge(t *testing.T) {
	s := loadSpectra(t)
	sc := plainScene()
	sc.Camera.Exposure, sc.Camera.Vignette = -1, .3
	img, _ := mustRender(t, sc, s)
	corner, _ := meanLinear(img, image.Rect(0, 0, 2, 2))
	if want := .5 * .7; math.Abs(corner[1]-want) > oneCode {
		t.Errorf("corner %.4f, want %.4f", corner[1], want)
	}
	sc.Camera.Vignette = 0
	sc.Light.Edge = ShadowEdge{Depth: .4, Angle: 0, Offset: 60, Width: 6}
	img, truth := mustRender(t, sc, s)
	for x, want := range map[float64]float64{50: .5, 60: .4, 70: .3} {
		if got := lightAt(img, truth.ToPixels, Point{x, 45}); math.Abs(got-want) > oneCode {
			t.Errorf("at %g mm: %.4f, want %.4f", x, got, want)
		}
	}
}

func TestLiftedItemsCastShadows(t *testing.T) {
	s := loadSpectra(t)
	piece := Item{Kind: Piece, Outline: Rect(40, 30, 0), Pose: Pose{X: 60, Y: 45}, Material: Plain(colour.Lab{L: 80}), Lift: 2}
	sc := plainScene(piece)
	sc.Camera.Exposure = -1
	sc.Light.Shadow, sc.Light.ShadowLength, sc.Light.ShadowBlur = .5, 3, 1.5
	img, truth := mustRender(t, sc, s)
	// The shadow falls 6 mm to the right: its edge, half-way dark, lies there.
	if got := lightAt(img, truth.ToPixels, Point{86, 45}); math.Abs(got-.375) > .03 { // a pixel is 0.4 mm of a 4 mm ramp
		t.Errorf("at the shadow's edge %.3f, want 0.375", got)
	}
	if got := lightAt(img, truth.ToPixels, Point{100, 45}); math.Abs(got-.5) > oneCode {
		t.Errorf("beyond the shadow %.3f", got)
	}
	_, variance := meanLinear(img, truth.Items[0].Box)
	if variance[1] > 1e-9 {
		t.Errorf("the piece lies in its own shadow, variance %g", variance[1])
	}
}
