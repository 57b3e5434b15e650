package check

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"evenhide/calibrate/photo"
	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/report"
	"evenhide/colour/dye"
	"evenhide/colour/tolerance"
)

// DabRequest says what is asked of a photo of dabs. The reference dab lies in the
// card's swatch window and bare hide in its hide window.
type DabRequest struct {
	Request
	// Called is the bottle of each dab in reading order, or one for all, or Reference; none:
	// each its own.
	Called []string
	Bottle tolerance.BottleLimits
	ML     float64 // in hand; 0 when not said
	// Ladders tell by a bottle's name how strength goes with its concentration; where
	// there is none, in proportion.
	Ladders map[string]KeptLadder
}

// Dabs checks the bottles whose dabs lie in the photo at path.
func Dabs(path string, rq DabRequest) (report.Dabs, error) {
	out := report.Dabs{Version: report.Version, File: path, Dabs: []report.Dab{}}
	t, p, err := rq.dabTable(path)
	if err != nil {
		return out, err
	}
	out.Taken, out.Camera, out.Card, out.Calibration = report.Time(p.Taken), p.Camera, t.cardFound(), t.calibration()
	bottles, references, err := rq.bottles(t.dabs)
	if err != nil {
		return out, fmt.Errorf("%s: %w", path, err)
	}
	out.Reference = t.refer(references, rq.Bottle.Shade)
	for _, b := range t.read(bottles, rq.Bottle.Shade) {
		out.Dabs = append(out.Dabs, t.bottle(b, rq))
	}
	if rq.Show != nil {
		rq.Show(t.subject(bottles, out.Dabs, references))
	}
	return out, nil
}

// dabTable is a photo of dabs: what they are held against, and where they lie.
type dabTable struct {
	*bench
	hide    tolerance.Estimate
	ref     reference
	dabs    []piece
	options dye.Options // by which strength is read, once the dabs are
}

// dabTable reads the photo at path as far as its dabs are not looked at yet.
func (rq Request) dabTable(path string) (*dabTable, *photo.Photo, error) {
	p, err := photo.Open(path, photo.Limits{MaxPixels: rq.MaxPixels})
	if err != nil { // which names the photo
		return nil, nil, err
	}
	var t dabTable
	if err = rq.inside(p); err == nil {
		p, t.bench, err = rq.benchOf(path, p)
	}
	if err == nil {
		err = t.windows()
	}
	if err == nil {
		t.dabs, err = t.dabsOnSheet()
	}
	if err != nil {
		err = fmt.Errorf("%s: %w", path, err)
	}
	return &t, p, err
}

// windows reads what lies in the card's windows, and refuses what is no reference.
func (t *dabTable) windows() error {
	const lay = "lay the reference dab in the card's window marked swatch and a bare piece of the same hide in the one marked hide"
	hide, err := t.bench.hide()
	if err != nil {
		return err
	}
	if t.ref, err = t.reference(); errors.Is(err, errNoSwatch) {
		return refusal.New(err, lay, "no reference dab: the card's swatch window is empty")
	}
	if err != nil {
		return err
	}
	if hide == nil {
		return refusal.New(nil, lay, "no bare hide: the card's hide window is empty, and strength is told against bare hide")
	}
	t.hide = *hide
	t.ref.Estimate = patchy(t.ref.Estimate)
	if err := dye.Distinct(sample(t.hide), t.ref.sample(), dye.DabOptions()); err != nil {
		return refusal.New(err, lay, "no telling strength: %v", err)
	}
	return nil
}

// bottles returns the dabs of each bottle, under its name, and those of the reference.
func (rq DabRequest) bottles(dabs []piece) (out [][]piece, references []piece, err error) {
	if n := len(rq.Called); n > 1 && n != len(dabs) {
		return nil, nil, refusal.New(nil, "name the bottle of each dab in reading order, or one bottle for all",
			"--called names the bottles of %d dabs, and %d lie on the sheet", n, len(dabs))
	}
	if n := len(rq.Called); n == 1 && n < len(dabs) && strings.Count(rq.Called[0], ";") == len(dabs)-1 {
		return nil, nil, refusal.New(nil, "name the bottle of each dab in reading order, with commas between names", "--called %s: one name for all dabs", rq.Called[0])
	}
	for _, name := range rq.Called {
		if name != Reference && strings.EqualFold(name, Reference) {
			return nil, nil, refusal.New(nil, "write reference for more dabs of the reference, and call a bottle by another name",
				"--called %s: a bottle, or the reference?", name)
		}
	}
	for i, d := range dabs {
		if len(rq.Called) > 0 {
			called := rq.Called[min(i, len(rq.Called)-1)]
			if called == Reference {
				references = append(references, d)
				continue
			}
			d.name = called
		}
		k := slices.IndexFunc(out, func(b []piece) bool { return b[0].name == d.name })
		if k < 0 {
			k = len(out)
			out = append(out, nil)
		}
		out[k] = append(out[k], d)
	}
	if len(out) == 0 {
		return nil, nil, refusal.New(nil, "lay a dab of the bottle too, and call it by another name",
			"every dab is called %s, and none is of a bottle", Reference)
	}
	return out, references, nil
}

// bottle judges one bottle.
func (t *dabTable) bottle(l bottleDabs, rq DabRequest) report.Dab {
	out := report.Dab{Name: l.dabs[0].name}
	for _, d := range l.dabs {
		out.Boxes = append(out.Boxes, t.pixels(d.region.Rect))
	}
	s, depth, err := t.strength(l, t.options)
	if err != nil {
		out.Verdict, out.Reasons, out.Hint = tolerance.Retake, []string{err.Error()}, hintFor(err)
		return out
	}
	out.Strength = strengthOf(l.seen, depth)
	if l.apart > rq.Bottle.Shade { // their mean is of no bottle
		out.Verdict, out.Reasons = tolerance.LookAgain, []string{fmt.Sprintf("two of its dabs differ by ΔE00 %.1f or more", l.apart)}
		out.Hint = "see that all dabs of a bottle are from it, laid alike on one hide, and lay them anew"
		return out
	}
	switch out.Verdict, out.Reasons = tolerance.JudgeBottle(*depth, rq.Bottle); out.Verdict {
	case tolerance.Thin:
		out.Water, out.WaterBy = t.water(s, l, rq.Ladders[out.Name])
		if rq.ML > 0 {
			out.InHand = out.Water.For(rq.ML)
		}
	case tolerance.Hold:
		out.Hint = "water mends no shade: lay its dab once more on the reference's kind of hide, and set the bottle aside"
	case tolerance.LookAgain:
		out.Hint = t.tellsMore(l) + "come closer, or measure the card (evenhide card measure --help)"
	}
	return out
}

// tellsMore returns what tells most of a bottle that is too close to call.
func (t *dabTable) tellsMore(l bottleDabs) string {
	const enough = 3 // dabs of one dye
	switch {
	case len(l.dabs) < enough:
		return "lay three dabs of the bottle on different places of the hide and give all of them its name with --called, "
	case t.ref.places < enough:
		return "lay two more dabs of the reference at either end of the others and call them reference with --called, "
	}
	return ""
}

// strength returns how strong dabs are, as a maker acts on it.
func (t *dabTable) strength(l bottleDabs, o dye.Options) (dye.Strength, *tolerance.Depth, error) {
	if l.err != nil {
		return dye.Strength{}, nil, l.err
	}
	s, err := dye.Relative(sample(t.hide), t.ref.sample(), l.sample(), o)
	switch {
	case errors.Is(err, dye.ErrBare):
		err = refusal.New(err, "lay dye on it, or take bare pieces off the sheet", "%v", err)
	case errors.Is(err, dye.ErrTooDark):
		err = refusal.New(err, "check the reference dab in the card's swatch window, or lay the dab from the bottle let down with water", "%v", err)
	case err != nil:
		err = refusal.New(err, "take the photo again in even, matt light", "%v", err)
	}
	if err != nil {
		return s, nil, err
	}
	return s, inDepth(s, t.rq.Weights), nil
}

func strengthOf(seen tolerance.Estimate, d *tolerance.Depth) report.Strength {
	return report.Strength{Lab: report.Triple(seen.Lab), Depth: depthOf(d), ShadeU: d.Shade.U}
}

func hintFor(err error) string {
	var refused *refusal.Error
	if errors.As(err, &refused) {
		return refused.Hint
	}
	return ""
}
