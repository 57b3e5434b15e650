package colour

import (
	"fmt"
	"math"
	"testing"
)

// TestXYZToLabVectors holds go-colorful, behind XYZToLab, against every row.
func TestXYZToLabVectors(t *testing.T) {
	const printedXYZ = 5e-9 // the vectors' X, Y and Z have eight decimals
	for _, r := range readTable(t, "xyz_lab_vectors.csv") {
		t.Run(r["L"]+"/white "+r["white_x"], func(t *testing.T) {
			white := WhiteXY(r.num(t, "white_x"), r.num(t, "white_y"))
			xyz := XYZ{r.num(t, "X"), r.num(t, "Y"), r.num(t, "Z")}
			want := r.lab(t, "L", "a", "b")
			nearLab(t, "Lab", XYZToLab(xyz, white), want, printed8)
			back := LabToXYZ(want, white)
			near(t, "X", back.X, xyz.X, printedXYZ)
			near(t, "Y", back.Y, xyz.Y, printedXYZ)
			near(t, "Z", back.Z, xyz.Z, printedXYZ)
		})
	}
}

// TestWhiteSpelling: the D65 of ASTM E308 (0.95047, 1, 1.08883) moves a* and b*
// by some thousandths; ours is the one from xy.
func TestWhiteSpelling(t *testing.T) {
	got := XYZToLab(XYZ{.20654008, .12197225, .05136952}, White{0.95047, 1, 1.08883})
	near(t, "a*", got.A, 52.6371, printed4)
	near(t, "b*", got.B, 26.9181, printed4)
}

func TestLabRoundTrip(t *testing.T) {
	const rounding = 1e-12 // in XYZ: cube and cube root in float64 on values to 3
	worst := 0.0
	for l := 0.0; l <= 100; l += 4 {
		for a := -120.0; a <= 120; a += 8 {
			for b := -120.0; b <= 120; b += 8 {
				for _, white := range []White{D65(), ICCWhite()} {
					c := Lab{l, a, b}
					worst = max(worst, DeltaE76(c, XYZToLab(LabToXYZ(c, white), white)))
				}
			}
		}
	}
	t.Logf("worst error over the grid: %.2g units", worst)
	if !(worst <= 500*rounding) { // a* is 500 times a difference of roots
		t.Errorf("worst error %g", worst)
	}
}

// TestLightness: the 18 % card and the join of the two branches at (6/29)³.
func TestLightness(t *testing.T) {
	near(t, "L* of 18 %", Lightness(0.18), 49.4961, printed4)
	near(t, "Y back", Luminance(Lightness(0.18)), 0.18, 1e-15)
	join := math.Pow(6.0/29, 3)
	near(t, "L* at the join", Lightness(join), 8, 1e-12) // 116·(6/29) − 16
	near(t, "L* just above", Lightness(math.Nextafter(join, 1)), 8, 1e-12)
}

func ExampleXYZToLab() {
	c := XYZToLab(XYZ{0.20654008, 0.12197225, 0.05136952}, D65())
	fmt.Printf("L* %.2f, a* %.2f, b* %.2f\n", c.L, c.A, c.B)
	// Output: L* 41.53, a* 52.64, b* 26.92
}
