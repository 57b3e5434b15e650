package shadebook

import (
	"context"
	"time"
)

// Batch is a number of pieces of one colour that are approved together.
type Batch struct {
	ID     int64
	Name   string
	Colour string
	Opened time.Time
	By     string
	State  string // BatchOpen, Approved or Rejected: what the newest decision left it in
}

// States of a batch and what a decision says.
const (
	BatchOpen = "open"
	Approved  = "approved"
	Rejected  = "rejected"
	Reopened  = "reopened" // only a decision's: the batch is open again
)

// Decision is an approval, a rejection or a reopening.
type Decision struct {
	ID       int64
	Batch    string
	Says     string // Approved, Rejected or Reopened
	By       string
	At       time.Time
	Why      string
	Corrects int64 // ID of the decision that this one takes the place of, or 0
}

// OpenBatch opens a batch; ID, Opened and State are set. ErrNameTaken, ErrNoRecord, ErrRefused.
func (b *Book) OpenBatch(ctx context.Context, batch Batch) (Batch, error) {
	return Batch{}, errNotYet
}

// BatchNamed returns a batch. ErrNoRecord.
func (b *Book) BatchNamed(ctx context.Context, name string) (Batch, error) {
	return Batch{}, errNotYet
}

// Batches returns all batches, newest first.
func (b *Book) Batches(ctx context.Context) ([]Batch, error) { return nil, errNotYet }

// Decide stores a decision; ID and At are set. seen is the ID of the newest check
// of the batch that the one who decides has seen (BatchResult.LastCheck): ErrMoved
// when there is a newer one. ErrDecided when the batch is in that state already,
// ErrNoRecord, ErrRefused.
func (b *Book) Decide(ctx context.Context, d Decision, seen int64) (Decision, error) {
	return Decision{}, errNotYet
}

// BatchResult is what a batch holds.
type BatchResult struct {
	Batch     Batch
	Decisions []Decision // oldest first
	Checks    []Check    // those that none corrects, oldest first, with their pieces
	LastCheck int64      // ID of the newest check, corrected ones included; 0 for none
}

// BatchResult returns what a batch holds. ErrNoRecord.
func (b *Book) BatchResult(ctx context.Context, name string) (BatchResult, error) {
	return BatchResult{}, errNotYet
}
