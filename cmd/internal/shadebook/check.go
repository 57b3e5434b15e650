package shadebook

import (
	"context"
	"time"

	"evenhide/colour"
)

// Check is what one photo was judged to show.
type Check struct {
	ID      int64
	Kind    string // OfPieces or OfBottle
	Colour  string // of OfPieces; a batch's colour when it is ""
	Batch   string // "" for a loose check
	Bottle  string // of OfBottle
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
	OfBottle = "bottle"
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

// Measured are the figures of one piece.
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

// AddCheck stores a check with its pieces and evidence, all or nothing; ID, Stored
// and the pieces' PieceID are set. Kind "" is OfPieces. ErrStored when the same photo is
// stored for the same batch, or loose for the same colour, unless it corrects a
// check that it did not correct before; ErrDecided, ErrNoRecord, ErrRefused (among
// others for a piece of another colour or batch).
func (b *Book) AddCheck(ctx context.Context, c Check, e Evidence) (Check, error) {
	return Check{}, errNotYet
}

// CheckWithID returns a check. ErrNoRecord.
func (b *Book) CheckWithID(ctx context.Context, id int64) (Check, error) { return Check{}, errNotYet }

// Evidence returns what a check left. ErrNoRecord.
func (b *Book) Evidence(ctx context.Context, check int64) (Evidence, error) {
	return Evidence{}, errNotYet
}

// StoredPhotos returns the checks stored for a batch, or with batch "" loose for a
// colour: the ID of the newest check of each photo by the photo's SHA-256. ErrNoRecord.
func (b *Book) StoredPhotos(ctx context.Context, batch, colourName string) (map[string]int64, error) {
	return nil, errNotYet
}
