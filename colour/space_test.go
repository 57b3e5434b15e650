package colour

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func nearMatrix(t *testing.T, what string, got, want Matrix, tolerance float64) {
	t.Helper()
	for i := range want {
		for j := range want {
			near(t, what, got[i][j], want[i][j], tolerance)
		}
	}
}

func TestSpaceMatrices(t *testing.T) {
	const printed5, printed7 = 5e-6, 5e-8
	// Worked out from the primaries, to seven decimals.
	nearMatrix(t, "sRGB", SRGB().ToXYZ, Matrix{
		{.4123908, .3575843, .1804808}, {.2126390, .7151687, .0721923}, {.0193308, .1191948, .9505322}}, printed7)
	nearMatrix(t, "Display P3", DisplayP3().ToXYZ, Matrix{
		{.4865709, .2656677, .1982173}, {.2289746, .6917385, .0792869}, {0, .0451134, 1.0439444}}, printed7)
	// As printed in colour-science's adobe_rgb_1998.py.
	nearMatrix(t, "Adobe RGB (1998)", AdobeRGB().ToXYZ, Matrix{
		{.57667, .18556, .18823}, {.29734, .62736, .07529}, {.02703, .07069, .99134}}, printed5)
	// IEC 61966-2-1, in colour-science's srgb.py. Its inverse is that of the
	// rounded matrix, which in the last place may miss ours by one more unit.
	nearMatrix(t, "sRGB, IEC", SRGB().ToXYZ, Matrix{
		{.4124, .3576, .1805}, {.2126, .7152, .0722}, {.0193, .1192, .9505}}, printed4)
	inverse, _ := Matrix{{.4124, .3576, .1805}, {.2126, .7152, .0722}, {.0193, .1192, .9505}}.Inverse()
	nearMatrix(t, "sRGB inverse, IEC", inverse, Matrix{
		{3.2406, -1.5372, -.4986}, {-.9689, 1.8758, .0415}, {.0557, -.2040, 1.0570}}, printed4)
}

func nearLab(t *testing.T, what string, got, want Lab, tolerance float64) {
	t.Helper()
	near(t, what+": L*", got.L, want.L, tolerance)
	near(t, what+": a*", got.A, want.A, tolerance)
	near(t, what+": b*", got.B, want.B, tolerance)
}

// encodedLab is the Lab colour of an encoded value in s.
func encodedLab(s Space, c EncodedRGB) Lab { return XYZToLab(s.XYZ(s.Linear(c)), s.White) }

func code(r, g, b float64) EncodedRGB { return EncodedRGB{r / 255, g / 255, b / 255} }

// TestSRGBColours: the figures in circulation for the primaries belong to the
// matrix that the D65 of ASTM E308 (0.95047, 1, 1.08883) gives, and are met with
// it. Ours comes from the white's xy and differs by that spelling alone.
func TestSRGBColours(t *testing.T) {
	const (
		printed3 = 5e-4
		spelling = 0.01 // what 2e-4 in the white's Z does to L*, a* and b* here
	)
	astm := SRGB()
	astm.White = White{0.95047, 1, 1.08883}
	sums := astm.RGB(XYZ(astm.White)) // how much of each primary makes that white
	astm.ToXYZ = astm.ToXYZ.Mul(Diagonal(sums.R, sums.G, sums.B))
	for _, c := range []struct {
		name string
		in   EncodedRGB
		want Lab
	}{
		{"red", code(255, 0, 0), Lab{53.241, 80.092, 67.203}},
		{"green", code(0, 255, 0), Lab{87.735, -86.183, 83.179}},
		{"blue", code(0, 0, 255), Lab{32.297, 79.188, -107.860}},
	} {
		t.Run(c.name, func(t *testing.T) {
			nearLab(t, "under the ASTM white", encodedLab(astm, c.in), c.want, printed3)
			nearLab(t, "here", encodedLab(SRGB(), c.in), c.want, spelling)
		})
	}
	nearLab(t, "119", encodedLab(SRGB(), code(119, 119, 119)), Lab{L: 50.034}, printed3)
	nearLab(t, "118", encodedLab(SRGB(), code(118, 118, 118)), Lab{L: 49.637}, printed3)
	nearLab(t, "white", encodedLab(SRGB(), code(255, 255, 255)), Lab{L: 100}, 1e-12)

	// A matrix and a white that do not belong together give white a cast.
	mixed := astm
	mixed.ToXYZ = Matrix{{.4124, .3576, .1805}, {.2126, .7152, .0722}, {.0193, .1192, .9505}}
	nearLab(t, "white of a mixture", encodedLab(mixed, code(255, 255, 255)), Lab{100, .0053, -.0104}, printed4)
}

// TestTransferFunctions holds each decoding against its definition written out:
// IEC 61966-2-1 and Adobe RGB (1998).
func TestTransferFunctions(t *testing.T) {
	const rounding = 1e-15
	near(t, "sRGB at the join", SRGB().Decode(0.04045), 0.04045/12.92, rounding)
	near(t, "sRGB 0.5", SRGB().Decode(0.5), 0.21404114048223255, rounding) // (0.555/1.055)^2.4
	near(t, "Adobe 0.5", AdobeRGB().Decode(0.5), 0.21775552814439, 1e-14)  // 2^(−563/256)
	near(t, "Adobe below 0", AdobeRGB().Decode(-0.1), 0, 0)                // no NaN
	for _, s := range []Space{SRGB(), DisplayP3(), AdobeRGB()} {
		near(t, s.Name+" 0", s.Decode(0), 0, 0)
		near(t, s.Name+" 1", s.Decode(1), 1, rounding)
	}
}

// TestGreysStayGrey: a neutral code is neutral in Lab in every space, so that a
// grey card never gets a cast from the arithmetic.
func TestGreysStayGrey(t *testing.T) {
	const cast = 1e-9 // a* and b* left by float64; the 4-decimal matrix leaves 0.01
	for _, s := range []Space{SRGB(), DisplayP3(), AdobeRGB()} {
		for v := 0.0; v <= 255; v++ {
			c := encodedLab(s, code(v, v, v))
			near(t, s.Name+" a*", c.A, 0, cast)
			near(t, s.Name+" b*", c.B, 0, cast)
		}
	}
}

// TestIgnoringAProfile is what reading a tagged photo as sRGB costs in ΔE00.
func TestIgnoringAProfile(t *testing.T) {
	const printed2 = 5e-3
	for _, c := range []struct {
		name      string
		in        EncodedRGB
		p3, adobe float64
	}{
		{"tan", code(150, 100, 60), 2.88, 4.36},
		{"brown", code(101, 67, 33), 2.65, 3.97},
		{"dark brown", code(60, 40, 30), 2.13, 4.01},
		{"natural", code(200, 160, 120), 2.58, 3.73},
	} {
		t.Run(c.name, func(t *testing.T) {
			read := encodedLab(SRGB(), c.in)
			near(t, "Display P3", DeltaE2000(encodedLab(DisplayP3(), c.in), read, UnitWeights()), c.p3, printed2)
			near(t, "Adobe RGB", DeltaE2000(encodedLab(AdobeRGB(), c.in), read, UnitWeights()), c.adobe, printed2)
		})
	}
	grey := code(119, 119, 119)
	near(t, "a grey hides it", DeltaE2000(encodedLab(DisplayP3(), grey), encodedLab(SRGB(), grey), UnitWeights()), 0, 0.01)
}

func TestSpaceRoundTrip(t *testing.T) {
	const rounding = 1e-13
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-0.5, 1.5) // also outside the gamut
		c := LinearRGB{v.Draw(t, "R"), v.Draw(t, "G"), v.Draw(t, "B")}
		for _, s := range []Space{SRGB(), DisplayP3(), AdobeRGB()} {
			back := s.RGB(s.XYZ(c))
			if e := max(math.Abs(back.R-c.R), math.Abs(back.G-c.G), math.Abs(back.B-c.B)); !(e <= rounding) {
				t.Errorf("%s: off by %g", s.Name, e)
			}
		}
	})
}
