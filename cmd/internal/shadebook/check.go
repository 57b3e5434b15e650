package shadebook

import (
	"encoding/json"
	"slices"
	"time"
	"unicode/utf8"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

// Check is what one photo was judged to show.
type Check struct {
	ID      int64
	Kind    string // OfPieces, or of a bottle's dabs: OfBottle, OfLadder or OfDabs
	Colour  string // of OfPieces; a batch's colour when it is ""
	Batch   string // "" for a loose check
	Bottle  string // "" for OfPieces
	Photo   PhotoFile
	Taken   time.Time
	Camera  string
	Problem string // why the photo could not be judged at all; "" when it could

	Reference *Reference // what the pieces were held against; nil with a Problem
	Stored    time.Time
	Corrects  int64 // ID of the check that this one takes the place of, or 0
	Pieces    []Judged
}

// What a check is of.
const (
	OfPieces = "piece"
	OfBottle = "bottle" // how strong it is
	OfLadder = "ladder" // how its strength goes with its concentration
	OfDabs   = "dab"    // what colour it gives, for blends
)

// Reference is what the pieces of a check were held against.
type Reference struct {
	Lab colour.Lab
	// Floor is the standard uncertainty of ΔE00 that remains between pieces of two
	// photos held against such a reference: small with the swatch in the frame.
	Floor float64
}

// Judged is one piece or dab in a check.
type Judged struct {
	PieceID  int64  // 0 for a dab
	Number   int    // in reading order, from 1
	Name     string // of the piece, which is added to the book when it is new
	Verdict  string
	Measured *Measured // nil when it could not be measured
}

// Measured are the figures of one piece. Those of a bottle's dab have ΔE00 at equal
// strength.
type Measured struct {
	Lab      colour.Lab
	Cov      colour.Matrix // of Lab less the reference's, what other photos do not share; zero when not known
	DE00, U  float64
	Interval [2]float64
	Blotch   float64  // RMS ΔE00
	Strength *float64 // 1 is as strong as the reference
}

// Evidence is what a check leaves to look at: lists do not read it.
type Evidence struct {
	Result  []byte // the whole result as JSON
	Picture []byte // a small JPEG; may be empty
}

// most a check may hold: a photo shows some dozen pieces, and its result is some
// kilobytes for each.
const (
	mostPieces  = 1000
	mostResult  = 16 << 20
	mostPicture = 4 << 20
)

// check refuses a check that cannot be, and returns it with its names as they are kept.
func (c Check) check() (Check, error) {
	c.Taken = kept(c.Taken)
	if c.Kind == "" {
		c.Kind = OfPieces
	}
	err := c.Photo.check()
	if err == nil {
		err = texts(text{"camera", c.Camera}, text{"problem", c.Problem})
	}
	switch ofPieces := c.Kind == OfPieces; {
	case err != nil:
	case !ofPieces && c.Kind != OfBottle && c.Kind != OfLadder && c.Kind != OfDabs:
		err = refusal.New(ErrRefused, "", "a check is of %q, wanted %s, %s, %s or %s", c.Kind, OfPieces, OfBottle, OfLadder, OfDabs)
	case ofPieces && c.Colour == "" && c.Batch == "":
		err = refusal.New(ErrRefused, "name a colour or a batch", "%q: a check of pieces without colour and batch", c.Photo.File)
	case ofPieces == (c.Bottle != "") || !ofPieces && c.Batch != "":
		err = refusal.New(ErrRefused, "name a bottle for a check of dabs, none for pieces", "%q: a check of a %s with bottle %q and batch %q", c.Photo.File, c.Kind, c.Bottle, c.Batch)
	case len(c.Pieces) > mostPieces:
		err = refusal.New(ErrRefused, "", "%q: %d pieces, at most %d may be", c.Photo.File, len(c.Pieces), mostPieces)
	}
	if r := c.Reference; err == nil && r != nil {
		err = finite("reference", r.Lab.L, r.Lab.A, r.Lab.B, r.Floor)
	}
	c.Pieces = slices.Clone(c.Pieces)
	seen := map[any]bool{}
	for i := range c.Pieces {
		p := &c.Pieces[i]
		if err == nil {
			err = p.check()
		}
		name := Folded(p.Name)
		if err == nil && (seen[name] || seen[p.Number]) {
			err = refusal.New(ErrRefused, "give each piece a name of its own", "%q: the name %q or the number %d is there twice", c.Photo.File, p.Name, p.Number)
		}
		seen[name], seen[p.Number] = true, true
	}
	return c, err
}

func (p *Judged) check() (err error) {
	if p.Name, err = aPiece.clean(p.Name); err == nil {
		err = numbers(number{"number of the piece", float64(p.Number), 1, 1e6, false})
	}
	if err == nil {
		err = texts(text{"verdict", p.Verdict})
	}
	m := p.Measured
	if err != nil || m == nil {
		return err
	}
	values := slices.Concat([]float64{m.Lab.L, m.Lab.A, m.Lab.B, m.DE00, m.U, m.Blotch}, m.Interval[:], m.Cov[0][:], m.Cov[1][:], m.Cov[2][:])
	if m.Strength != nil {
		values = append(values, *m.Strength)
	}
	return finite("figures of the piece "+p.Name, values...)
}

// check refuses what is no JSON or too much.
func (e Evidence) check() error {
	switch {
	case len(e.Result) > mostResult || len(e.Picture) > mostPicture:
		return refusal.New(ErrRefused, "", "a result of %d bytes and a picture of %d, at most %d and %d may be", len(e.Result), len(e.Picture), mostResult, mostPicture)
	case !json.Valid(e.Result) || !utf8.Valid(e.Result):
		return refusal.New(ErrRefused, "", "the result of a check is no JSON")
	}
	return nil
}
