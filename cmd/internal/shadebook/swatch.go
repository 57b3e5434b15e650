package shadebook

import (
	"context"
	"time"

	"evenhide/colour"
)

// Swatch is a reading of a colour's reference swatch.
type Swatch struct {
	ID     int64
	Colour string
	Lab    colour.Lab    // D65, 2°
	Cov    colour.Matrix // covariance of Lab with the same card: the measurement, and the photos' spread
	Print  colour.Matrix // what comes to it with another card: this one's greys may be wrong
	Photos []PhotoFile
	Light  string // as the maker calls it; may be ""
	Camera string
	Card   string // its serial; "" with greys of another make
	// CardMeasured says that the card's greys were measured, and not taken for what
	// was printed.
	CardMeasured bool
	Taken        time.Time
	Kept         time.Time

	// For dye strength, when bare hide lay in the photo: linear values of dab and hide.
	Dab, Hide *[3]float64
	HideLab   *colour.Lab
}

// PhotoFile is a photo by its name and its SHA-256 in hexadecimal.
type PhotoFile struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256"`
}

// KeepSwatch stores a reading as its colour's current reference; ID and Kept are
// set. ErrNoRecord when there is no such colour, ErrRefused.
func (b *Book) KeepSwatch(ctx context.Context, s Swatch) (Swatch, error) {
	return Swatch{}, errNotYet
}

// CurrentSwatch returns a colour's newest swatch. ErrNoRecord when there is no such
// colour or it has no swatch.
func (b *Book) CurrentSwatch(ctx context.Context, colourName string) (Swatch, error) {
	return Swatch{}, errNotYet
}

// Swatches returns a colour's swatches, newest first. ErrNoRecord.
func (b *Book) Swatches(ctx context.Context, colourName string) ([]Swatch, error) {
	return nil, errNotYet
}
