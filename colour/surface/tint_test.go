package surface

import (
	"testing"

	"evenhide/colour"
)

// tinted returns brown of 60×40 tiles of 8 cells, redder and bluer by a*, b* of
// tint in units of 1 %, with lightness blotch under it.
func tinted(tint func(x, y int) (red, blue float64)) *colour.Field {
	l := blurred(60, 40, 3, 6)
	return paint(480, 320, func(x, y int) colour.LinearRGB {
		c := scaled(brown(), 1+0.02*l[y/8*60+x/8])
		red, blue := tint(x, y)
		// Green makes up for the light, so that L* stays.
		r, b := c.R*red/100, c.B*blue/100
		return colour.LinearRGB{R: c.R + r, G: c.G - (0.212639*r+0.072192*b)/0.715169, B: c.B + b}
	})
}

func TestBlocksOfTintAreNoBlotch(t *testing.T) {
	none := measured(t, tinted(func(int, int) (float64, float64) { return 0, 0 }), eight())
	red, blue := blurred(30, 20, 0, 7), blurred(30, 20, 0, 8)
	blocks := measured(t, tinted(func(x, y int) (float64, float64) {
		i := y/16*30 + x/16
		return 2 * red[i], 10 * blue[i]
	}), eight())
	if blocks.Blotch.Grain < 0.5*none.Blotch.RMS {
		t.Fatalf("tint of %.2f under blotch of %.2f tests nothing", blocks.Blotch.Grain, none.Blotch.RMS)
	}
	// 600 blocks know their mean square to √(2/600) = 6 %, four times over.
	near(t, "blotch", blocks.Blotch.RMS, none.Blotch.RMS, 0.24*blocks.Blotch.Grain)
}

// Patches of another hue, far larger than a block, count in full.
func TestPatchesOfHueAreBlotch(t *testing.T) {
	patches := blurred(60, 40, 6, 9)
	rd := measured(t, tinted(func(x, y int) (float64, float64) { return 6 * patches[y/8*60+x/8], 0 }), eight())
	none := measured(t, tinted(func(int, int) (float64, float64) { return 0, 0 }), eight())
	if rd.Blotch.RMS < 1.5*none.Blotch.RMS || rd.Blotch.Grain > 0.5*rd.Blotch.RMS {
		t.Errorf("blotch %.2f, grain %.2f; without patches %.2f", rd.Blotch.RMS, rd.Blotch.Grain, none.Blotch.RMS)
	}
}
