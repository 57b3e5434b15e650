package check

import (
	"fmt"
	"strconv"

	"evenhide/calibrate"
	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/dye"
	"evenhide/colour/surface"
	"evenhide/colour/tolerance"
)

// piece is something to be judged: where it lies, and what about the photo alone
// forbids to judge it.
type piece struct {
	name    string
	region  surface.Region
	outline []surface.Corner
	faults  []string
	zone    bool // a part judged on its own
	// cal is the calibration in the light right there; nil is the bench's own.
	cal *calibrate.Calibration
}

// pieces returns the pieces that were given, or those found on the sheet.
func (b *bench) pieces() ([]piece, error) {
	var out []piece
	for _, p := range b.rq.Pieces {
		out = append(out, b.given(p))
	}
	if len(out) > 0 {
		return out, nil
	}
	if b.sheet == nil {
		return nil, refusal.New(nil, "lay everything on a plain white sheet, or say where the pieces are with --piece X,Y,W,H",
			"the pieces cannot be found without a plain sheet under them")
	}
	centre := b.field.Bounds().Size().Div(2)
	for i, p := range b.sheet.Pieces(calibrate.PieceOptions{CellsPerMM: b.cellsPerMM(float64(centre.X), float64(centre.Y))}) {
		found := piece{name: strconv.Itoa(i + 1), region: p.Region, faults: p.Faults, cal: b.cal.Beside(p.Beside)}
		for _, c := range p.Outline {
			found.outline = append(found.outline, surface.Corner(c))
		}
		out = append(out, found)
	}
	if len(out) == 0 {
		return nil, refusal.New(errNoPiece, "lay the pieces on the sheet beside the card, not touching it, or give --piece X,Y,W,H",
			"no piece was found on the sheet")
	}
	return out, nil
}

func (b *bench) given(p Place) piece {
	r := b.field.Cells(p.Rect)
	return piece{name: p.Name, region: surface.Region{Rect: r}, outline: corners(r)}
}

// zones returns the zones that were given, each in the light on the piece it is of.
func (b *bench) zones(of []piece) (out []piece) {
	for _, z := range b.rq.Zones {
		zone := b.given(z)
		zone.zone = true
		for _, p := range of {
			if r := zone.region.Rect; r.Min.Add(r.Max).Div(2).In(p.region.Rect) {
				zone.cal = p.cal
			}
		}
		out = append(out, zone)
	}
	return out
}

// readPiece is a piece with its reading, and its colour as it is held against a
// reference; or why it cannot be.
type readPiece struct {
	piece
	surface.Reading
	seen tolerance.Estimate
	err  error
}

func (b *bench) readPiece(p piece, ref reference) readPiece {
	r, err := b.measure(p, 0)
	if err == nil {
		err = tooMuchLeftOut(r)
	}
	m := readPiece{piece: p, Reading: r, err: err}
	if err != nil {
		return m
	}
	m.seen = b.estimateFrom(ref.from, p, r)
	if ref.sameCard { // what differs from photo to photo is in the model
		m.seen.Shared = nil
	}
	return m
}

// piece judges one piece.
func (b *bench) piece(p readPiece, ref reference, hide *tolerance.Estimate, o dye.Options) report.Piece {
	out := report.Piece{Name: p.name, Zone: p.zone, Box: b.pixels(p.region.Rect), Outline: b.outlinePixels(p.outline)}
	r, seen := p.Reading, p.seen
	out.LeftOut = report.LeftOut{Glare: r.GlarePercent, Clipped: r.ClippedPercent}
	if p.err != nil {
		out.Verdict, out.Reasons, out.Hint = tolerance.Retake, []string{p.err.Error()}, retakeHint(p.err)
		return out
	}
	d := tolerance.Between(ref.Estimate, seen, b.rq.Weights, ref.model)
	held := ref.Estimate
	held.Cov = held.Cov.Add(ref.doubt)
	depth := depth(hide, held, seen, o)
	out.Verdict, out.Reasons = tolerance.Judge(d, r.Blotch.RMS, depth, b.rq.Limits)
	out.Measures = measures(r, d, depth, colour.InWords(ref.Lab, r.Lab, b.rq.Weights))
	from := ref.Estimate
	if ref.told.Source != report.InFrame { // other photos are held against the same reading of it
		from.Cov = colour.Matrix{}
	}
	out.Measures.LabCov = seen.CovFrom(from)
	switch {
	case out.Verdict != tolerance.LookAgain:
	case ref.told.Source == report.Kept && !ref.told.SameLight: // most of the doubt, whatever else is done
		out.Hint = "lay the swatch in the card's window and take the photo again, or decide by eye in daylight"
	default:
		out.Hint = "lay it closer to the card and fill the frame, measure the card (evenhide card measure --help), or decide by eye in daylight"
	}
	if d := r.Damp; d.Percent > 0 { // a reason to feel it, and no verdict: strongly dyed patches look so too
		out.Reasons = append(out.Reasons, fmt.Sprintf("may be damp: %.0f %% of it is smooth, %.0f L* darker in the same hue, and it shines", max(d.Percent, 1), d.L))
		out.Hint = "let it dry and take the photo again"
	}
	if len(p.faults) > 0 {
		out.Verdict, out.Reasons, out.Hint = tolerance.Retake, p.faults, "lay it flat and whole on the sheet, in one even light, and take the photo again"
	}
	if why := b.blurred(); why != "" {
		out.Verdict, out.Reasons, out.Hint = tolerance.Retake, append([]string{why}, p.faults...), "hold the phone still, tap to focus on the piece and take the photo again"
	}
	return out
}

// mostEdgeMM is how wide the card's edges may be seen before tiles of 1.27 mm mix
// with their neighbours too much. On rendered photos streaks of 2 ΔE00, 2 mm wide,
// came out 2 % too faint at 0.7 mm, 5 % at 1.1, 8 % at 1.5, 10 % at 1.7 and 15 % at
// 2.1, patches of 4 mm 4 % at 1.7. A tenth is half the guard band of evenness.
const mostEdgeMM = 1.6

// blurred says so when the photo is too blurred for its pieces to be judged.
func (b *bench) blurred() string {
	if b.found == nil || b.found.EdgeMM <= mostEdgeMM {
		return ""
	}
	return fmt.Sprintf("the photo is blurred: edges of the card are %.1f mm wide, at most %.1f may be", b.found.EdgeMM, mostEdgeMM)
}

// depthOptions returns how strength is read: as that of dabs where the swatch lies in
// the photo as well.
func (b *bench) depthOptions(all []readPiece, ref reference, hide *tolerance.Estimate) dye.Options {
	if ref.told.Source != report.InFrame || hide == nil {
		o := dye.DefaultOptions()
		o.Weights = b.rq.Weights
		return o
	}
	var seen []dye.Sample
	for _, m := range all {
		if m.err == nil && !m.zone {
			seen = append(seen, sample(m.seen))
		}
	}
	return b.besideSwatch(*hide, ref, seen)
}

// besideSwatch returns how strength is read of samples that lie in one photo with the
// swatch and the hide, which differs from place to place as they show.
func (b *bench) besideSwatch(hide tolerance.Estimate, ref reference, seen []dye.Sample) dye.Options {
	o := dye.DabOptions()
	o.Weights = b.rq.Weights
	o.Hide = dye.HideSpread(sample(hide), ref.sample(), seen, o)
	return o
}

// depth returns how strongly the piece is dyed, when bare hide in the photo lets
// that be told.
func depth(hide *tolerance.Estimate, ref, seen tolerance.Estimate, o dye.Options) *tolerance.Depth {
	if hide == nil {
		return nil
	}
	s, err := dye.Relative(sample(*hide), sample(ref), sample(seen), o)
	if err != nil {
		return nil // a colour that dye on this hide cannot be: judged by its difference alone
	}
	return inDepth(s, o.Weights)
}

func sample(e tolerance.Estimate) dye.Sample {
	s := dye.FromLab(e.Lab, e.Cov, e.Shared)
	s.Lit = e.Lit
	return s
}

// inDepth returns a strength as it is judged by.
func inDepth(s dye.Strength, w colour.Weights) *tolerance.Depth {
	shade := tolerance.Between(tolerance.Estimate{Lab: s.Shade.Predicted},
		tolerance.Estimate{Lab: s.Shade.Sample, Cov: s.Shade.Cov}, w, tolerance.Model{})
	// Two dyes in one photo read up to 3 ΔE00 nearer to each other or further apart than
	// they are (measured on rendered dabs); at no strength is more left than that by mistake.
	const misread = 4
	shade.Interval[0] = max(shade.Interval[0], s.Shade.Least-misread)
	words := s.Shade.Words
	words.Lightness = "" // the strengths are equal: what is left to say is the shade
	return &tolerance.Depth{Strength: s.Value, Interval: s.Interval, Shade: shade, Words: words.String()}
}
