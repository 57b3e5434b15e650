package shadebook

import (
	"context"
	"time"
)

// Piece is one item that is dyed.
type Piece struct {
	ID     int64
	Name   string
	Colour string
	Hide   string // "" when not said
	Batch  string // "" when it is in none
	Added  time.Time
}

// AddPiece adds a piece before its first check, which adds it otherwise; ID and
// Added are set. ErrNameTaken, ErrNoRecord, ErrRefused.
func (b *Book) AddPiece(ctx context.Context, p Piece) (Piece, error) { return Piece{}, errNotYet }

// PieceNamed returns a piece. ErrNoRecord.
func (b *Book) PieceNamed(ctx context.Context, name string) (Piece, error) {
	return Piece{}, errNotYet
}

// PieceChecks returns the checks that a piece was judged in, newest first, each with
// all of its pieces. ErrNoRecord.
func (b *Book) PieceChecks(ctx context.Context, piece string) ([]Check, error) {
	return nil, errNotYet
}

// Coat is one coat of dye on a piece: from a bottle, or of a blend in words.
type Coat struct {
	ID          int64
	Piece       string
	Number      int // from 1; 0 asks AddCoat for the next
	When        time.Time
	Temperature *float64 // °C
	Bottle      string
	Blend       string
	Added       time.Time
}

// AddCoat adds a coat to a piece; ID, Number and Added are set. ErrNameTaken when
// the piece has a coat of that number, ErrNoRecord, ErrRefused.
func (b *Book) AddCoat(ctx context.Context, c Coat) (Coat, error) { return Coat{}, errNotYet }

// Coats returns a piece's coats by number. ErrNoRecord.
func (b *Book) Coats(ctx context.Context, piece string) ([]Coat, error) { return nil, errNotYet }
