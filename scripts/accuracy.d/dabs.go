package main

import (
	"fmt"
	"math/rand/v2"

	"evenhide/calibrate/scene"
)

// world is how dye and hide behave in photos of dabs.
type world string

const (
	// proportional: Kubelka-Munk at every wavelength, absorption in proportion to
	// concentration, one hide alike all over.
	proportional world = "proportional"
	// bent: absorption grows with concentration to the power 0.85 to 1, drawn for
	// each photo, and the hide varies from place to place by 2 L* (RMS).
	bent world = "bent"
)

// bottleKind is what a bottle is there to show.
type bottleKind string

const (
	normal  bottleKind = "normal"  // strength 0.97 to 1.03
	thick   bottleKind = "thick"   // 1.15
	spread  bottleKind = "spread"  // 0.6 to 1.6
	offHue  bottleKind = "off hue" // by away, as strong as the reference
	thinned bottleKind = "thinned" // with the water that was advised
	// reference is what lies in the card's window: more dabs of it on the sheet are judged
	// by nobody.
	reference bottleKind = "reference"
)

// away is how far the off hue are, in ΔE00.
const away = 2.0

// bottle is what a dab is laid from. Its strength is its concentration over that
// of the reference.
type bottle struct {
	kind     bottleKind
	strength float64
	blend    scene.Blend
}

// dabScene is a photo of dabs below the card: laid as close as a maker does, and
// else as hard as the other photos.
type dabScene struct {
	scene.Scene
	job
	world world
	blend scene.Blend
	depth float64
	dice  *rand.Rand
	more  []scene.Item // dabs of the reference for the sheet
}

// dabScene draws the photo of a job, with nothing laid yet.
func (st *stage) dabScene(j job, w world) *dabScene {
	d := &dabScene{Scene: st.scene(j.seed, j.light), job: j, world: w, dice: rand.New(rand.NewPCG(j.seed, 500))}
	d.blend, d.depth = d.Items[0].Material.Recipe()
	d.Items = d.Items[:2] // swatch and hide
	if w == proportional {
		d.Law = 1
	}
	for i := range d.Items {
		d.onHide(&d.Items[i].Surface)
	}
	return d
}

// dabsAgain draws another photo by the same phone with the same card in the same light,
// laid out and lit anew, with nothing laid yet but the same swatch; the same dabs of the
// reference are there to be laid.
func (st *stage) dabsAgain(first *dabScene) *dabScene {
	const far = 200000 // from any seed of a first photo
	d := &dabScene{job: first.job, world: first.world, blend: first.blend, depth: first.depth,
		Scene: st.again(first.Scene, first.seed+far, first.light), dice: rand.New(rand.NewPCG(first.seed, 501))}
	d.Items = d.Items[:2] // swatch and hide
	d.Items[0].Surface, d.more = first.Items[0].Surface, first.more
	d.onHide(&d.Items[1].Surface)
	return d
}

func (d *dabScene) between(lo, hi float64) float64 { return lo + (hi-lo)*d.dice.Float64() }

// onHide says on what place of the hide a dab lies. A dab is smaller than the
// 40 mm over which the hide varies: 1.8 L* between dabs and 0.9 within one are
// 2.0 together.
func (d *dabScene) onHide(s *scene.Surface) {
	s.HideL, s.HideVariation = 0, 0
	if d.world == bent {
		s.HideL, s.HideVariation = 1.8*d.dice.NormFloat64(), .9
	}
}

// stock returns the bottles of a photo.
func (d *dabScene) stock(spectra *scene.Spectra) []bottle {
	out := []bottle{{normal, d.between(.97, 1.03), d.blend}, {normal, d.between(.97, 1.03), d.blend}, {thick, 1.15, d.blend}}
	for range 3 {
		out = append(out, bottle{spread, d.between(.6, 1.6), d.blend})
	}
	const most = 2
	dyes := scene.Dyes()
	for _, i := range d.dice.Perm(len(dyes)) {
		if off, strength, ok := spectra.OffShade(d.blend, d.depth, d.Law, away, dyes[i]); ok && len(out) < 6+most {
			out = append(out, bottle{offHue, strength, off})
		}
	}
	d.dice.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// refer cuts that many dabs of the reference for the sheet, beside that in the window.
func (d *dabScene) refer(dabs int) {
	for i := range dabs {
		it := d.dab(bottle{reference, 1, d.blend})
		it.Name = fmt.Sprintf("%s %d", reference, i+1)
		d.more = append(d.more, it)
	}
}

// dab draws a dab of a bottle on a piece of hide of its own.
func (d *dabScene) dab(b bottle) scene.Item {
	it := scene.Item{Kind: scene.Piece, Outline: scene.Rect(d.between(26, 30), d.between(26, 30), d.between(1, 4)),
		Material: scene.Leather(b.blend, d.depth*b.strength),
		Surface:  scene.Surface{Grain: d.Items[0].Surface.Grain, Blotch: d.between(.1, .7), BlotchSize: d.between(4, 14)}}
	if d.dice.Float64() < .25 {
		it.Surface.Slope, it.Surface.SlopeAngle = d.between(.5, 2), d.between(0, 360)
	}
	d.onHide(&it.Surface)
	return it
}

// lay lays each bottle's dabs, that many of one bottle side by side, and more of the
// reference at either end of them, and brings the camera over all.
func (d *dabScene) lay(bottles []bottle, each int) {
	const pitch, narrow, rows = 38, 4, 3 // mm; a sheet has room for no more rows
	card := d.Layers[0]
	top := card.Pose.Y + float64(card.Image.Rect.Dy())*card.MMPerPixel + 8
	laid, before := each*len(bottles), (len(d.more)+1)/2
	n := laid + len(d.more)
	columns := max(narrow, (n+rows-1)/rows)
	place := func(i int) scene.Pose {
		across := float64(i%columns) - float64(columns-1)/2
		return scene.Pose{X: d.Sheet.W/2 + pitch*across, Y: top + pitch*(float64(i/columns)+.5), Angle: d.between(-4, 4)}
	}
	for i := range n {
		lift, pose := d.between(1, 3), place(i)
		var it scene.Item
		switch k := i - before; {
		case k < 0:
			it = d.more[i]
		case k < laid:
			it = d.dab(bottles[k/each])
			it.Name = fmt.Sprintf("dab %d", k+1)
		default:
			it = d.more[i-laid]
		}
		it.Lift, it.Pose = lift, pose
		d.Items = append(d.Items, it)
	}
	d.View.Centre = scene.Point{X: d.Sheet.W / 2, Y: (top + pitch*float64((n+columns-1)/columns)) / 2}
	d.View.Across = 200 // the card's width and a little
	d.Scene = d.Framed()
}
