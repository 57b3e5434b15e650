package shadebook

import (
	"context"
	"time"
)

// Hide is a hide or a lot of them.
type Hide struct {
	ID          int64
	Name        string
	Lot         string
	ThicknessMM float64 // 0 is unknown
	Finish      string  // Smooth, Milled, Embossed, or "" when unknown
	Notes       string
	Added       time.Time
}

// How a hide's grain is finished.
const (
	Smooth   = "smooth"
	Milled   = "milled"
	Embossed = "embossed"
)

// AddHide adds a hide; ID and Added are set. ErrNameTaken, ErrRefused.
func (b *Book) AddHide(ctx context.Context, h Hide) (Hide, error) { return Hide{}, errNotYet }

// HideNamed returns a hide. ErrNoRecord.
func (b *Book) HideNamed(ctx context.Context, name string) (Hide, error) { return Hide{}, errNotYet }

// Hides returns all hides by name.
func (b *Book) Hides(ctx context.Context) ([]Hide, error) { return nil, errNotYet }

// Bottle is a bottle of dye.
type Bottle struct {
	ID       int64
	Name     string
	Dye      string
	MakerLot string
	Opened   time.Time // zero: unknown
	Notes    string
	Added    time.Time
}

// AddBottle adds a bottle; ID and Added are set. ErrNameTaken, ErrRefused.
func (b *Book) AddBottle(ctx context.Context, bottle Bottle) (Bottle, error) {
	return Bottle{}, errNotYet
}

// BottleNamed returns a bottle. ErrNoRecord.
func (b *Book) BottleNamed(ctx context.Context, name string) (Bottle, error) {
	return Bottle{}, errNotYet
}

// Bottles returns all bottles by name.
func (b *Book) Bottles(ctx context.Context) ([]Bottle, error) { return nil, errNotYet }
