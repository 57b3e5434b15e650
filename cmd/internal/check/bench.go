package check

import (
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"evenhide/calibrate"
	"evenhide/calibrate/card"
	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/surface"
)

// bench is a photo ready to be measured: the camera and the light undone.
type bench struct {
	rq     Request
	field  *colour.Field
	cal    *calibrate.Calibration
	camera string      // of the photo, "" when it does not say
	found  *card.Found // nil when the greys were given
	card   card.Layout
	// measured says that the card's greys were measured, and are not nominal.
	measured bool
	sheet    *calibrate.Sheet // nil when no sheet tells of the light
	notes    []string
	mu       sync.Mutex // of readings: pieces are measured at once
	readings []reading  // every one that was taken
	judged   []piece
	hidden   bool // bare hide lies in the card's window
	bare     bool // no swatch does, and none is wanted
}

// bench finds the greys in the field, fits the camera to them, and takes the
// light off by the sheet where there is one. With an error comes what was found
// before it.
func (rq Request) bench(f *colour.Field) (*bench, error) {
	b := &bench{rq: rq, field: f, card: card.NewLayout()}
	if colourless(f) {
		return b, refusal.New(nil, "switch the filter off and take the photo in colour", "the photo is black and white")
	}
	steps, err := b.steps()
	if err != nil {
		return b, err
	}
	rq.ended("card")
	if b.cal, err = calibrate.Fit(f, steps); err != nil {
		return b, err
	}
	rq.ended("camera")
	defer rq.ended("light")
	b.sheet, err = calibrate.FindSheet(f, b.cal.Undo, b.printed())
	if err != nil {
		b.sheet = nil
		light, how := b.cal.LightOfCopies(), "from the card's two rows of greys"
		if light == nil {
			how = "for even"
		}
		b.notes = append(b.notes, fmt.Sprintf("the light is taken %s: %v", how, err))
		b.cal, err = b.cal.In(light)
		return b, err
	}
	if tone, ok := b.cal.ToneIn(b.sheet.Light); ok {
		if err = b.sheet.Redevelop(tone); err != nil {
			return b, err
		}
	}
	b.notes = append(b.notes, b.sheet.Warnings...)
	b.cal, err = b.cal.In(b.sheet.Light)
	return b, err
}

const stepMargin = 1.5 // mm: print bleeds, lenses blur, cards curl

// steps returns the greys that were given, or those of the card in the photo.
func (b *bench) steps() ([]calibrate.Step, error) {
	var steps []calibrate.Step
	for _, g := range b.rq.Greys {
		steps = append(steps, calibrate.Step{Region: surface.Region{Rect: b.field.Cells(g.Rect)}, L: g.L})
	}
	if len(steps) > 0 {
		return steps, nil
	}
	found, err := card.Find(b.field)
	if err != nil {
		return nil, err
	}
	b.found = &found
	measured, known := b.rq.Measured[found.Serial]
	b.measured = known && !measured.LevelOnly
	for _, s := range b.card.Steps {
		step := calibrate.Step{Region: b.region(s.Box, stepMargin), L: s.L, Nominal: !b.measured}
		if known {
			step.L = measured.L[s.Level]
		}
		steps = append(steps, step)
	}
	return steps, nil
}

// region returns the cells that show a box of the card, less a margin.
func (b *bench) region(box card.Box, margin card.Millimetres) surface.Region {
	return surface.Polygon(b.corners(b.found.Quad(box, margin)), b.field.Bounds())
}

func (b *bench) corners(quad [4]card.Pixel) (out []surface.Corner) {
	for _, p := range quad {
		out = append(out, b.corner(p))
	}
	return out
}

func (b *bench) corner(p card.Pixel) surface.Corner {
	k := float64(b.field.Cell)
	return surface.Corner{X: p.X / k, Y: p.Y / k}
}

// printed returns the outline of what is known not to be bare sheet.
func (b *bench) printed() []calibrate.Polygon {
	if b.found == nil {
		return nil
	}
	var outline calibrate.Polygon
	for _, p := range b.found.Outline() {
		c := b.corner(p)
		outline = append(outline, calibrate.Point{X: c.X, Y: c.Y})
	}
	return []calibrate.Polygon{outline}
}

// cellsPerMM returns the photo's scale at a place in cells; 0 when unknown.
func (b *bench) cellsPerMM(x, y float64) float64 {
	if b.found == nil {
		return 0
	}
	k := float64(b.field.Cell)
	return b.found.PxPerMM(b.found.Point(card.Pixel{X: x * k, Y: y * k})) / k
}

// judge measures everything and fills in out.
func (b *bench) judge(out *report.Photo) error {
	out.Calibration = b.calibration()
	out.Card, out.Sheet = b.cardFound(), b.sheetFound()
	hide, err := b.hide()
	if err != nil {
		return err
	}
	if hide != nil {
		out.Hide = &report.BareHide{Lab: report.Triple(hide.Lab)}
	}
	ref, err := b.reference()
	if err != nil {
		return err
	}
	out.Reference = &ref.told
	if ref.note != "" {
		out.Calibration.Warnings = append(out.Calibration.Warnings, ref.note)
	}
	b.rq.ended("windows")
	pieces, err := b.pieces()
	if err != nil {
		return err
	}
	b.rq.ended("pieces")
	pieces = append(pieces, b.zones(pieces)...)
	b.judged = pieces
	all := b.readAll(pieces, ref)
	options := b.depthOptions(all, ref, hide)
	for _, m := range all {
		out.Pieces = append(out.Pieces, b.piece(m, ref, hide, options))
	}
	b.rq.ended("measuring")
	return nil
}

// readAll measures the pieces, several at a time.
func (b *bench) readAll(pieces []piece, ref reference) []readPiece {
	out := make([]readPiece, len(pieces))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(pieces)) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(pieces); i = int(next.Add(1)) - 1 {
				out[i] = b.readPiece(pieces[i], ref)
			}
		})
	}
	wg.Wait()
	return out
}
