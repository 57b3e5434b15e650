package scene

import "testing"

// What is worked out without a photo is what a photo shows.
func TestDyedOnIsWhatAPhotoShows(t *testing.T) {
	const near = .05 // ΔE00: tables between their nodes, and single-precision pictures
	s := loadSpectra(t)
	harrow, _ := DyeNamed("Harrow brown")
	b := Blend{{harrow, 1}}
	for _, hideL := range []float64{-4, 0, 2} {
		sc := plainScene(Item{Outline: Rect(40, 40, 0), Pose: Pose{X: 60, Y: 45}, Material: Leather(b, .6), Surface: Surface{HideL: hideL}})
		sc.Law = .9
		_, truth := mustRender(t, sc, s)
		if d := deltaE2000(s.DyedOn(hideL, b, .6, .9), truth.Items[0].Lab); d > near {
			t.Errorf("hide %+g L*: %.3f from what the photo shows", hideL, d)
		}
	}
}
