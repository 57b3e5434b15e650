package shadebook

import (
	"context"
	"database/sql"
	"encoding/hex"
	"slices"
	"strings"
	"time"

	"evenhide/calibrate/refusal"
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
}

// PhotoFile is a photo by its name and its SHA-256 in hexadecimal.
type PhotoFile struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256"`
}

// KeepSwatch stores a reading as its colour's current reference; ID and Kept are
// set. ErrNoRecord when there is no such colour, ErrRefused.
func (b *Book) KeepSwatch(ctx context.Context, s Swatch) (Swatch, error) {
	if err := s.check(); err != nil {
		return s, err
	}
	s.Taken = kept(s.Taken)
	err := b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		c, err := aColour.find(ctx, tx, s.Colour)
		if err == nil {
			err = b.lock(ctx, tx, aColour, c.id, alone) // or a batch decided on meanwhile would change
		}
		if err != nil {
			return err
		}
		s.Colour, s.Kept = c.name, now()
		return tx.QueryRowContext(ctx, `INSERT INTO swatch
			(colour_id, l, a, b, cov, print_cov, photos, light, camera, card, card_measured, taken_at, kept_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13) RETURNING id`,
			c.id, s.Lab.L, s.Lab.A, s.Lab.B, asJSON{s.Cov}, asJSON{s.Print}, asJSON{s.Photos}, s.Light, s.Camera,
			s.Card, truth(s.CardMeasured), micro(s.Taken), micro(s.Kept)).Scan(&s.ID)
	})
	return s, err
}

// check refuses what no measurement gives.
func (s Swatch) check() error {
	err := texts(text{"light", s.Light}, text{"camera", s.Camera}, text{"card", s.Card})
	if err == nil {
		err = finite("Lab of the swatch", s.Lab.L, s.Lab.A, s.Lab.B)
	}
	for _, m := range []colour.Matrix{s.Cov, s.Print} {
		if err == nil {
			err = finite("covariance of the swatch", slices.Concat(m[0][:], m[1][:], m[2][:])...)
		}
	}
	for _, p := range s.Photos {
		if err == nil {
			err = p.check()
		}
	}
	return err
}

// check refuses what is no SHA-256 in lower-case hexadecimal.
func (p PhotoFile) check() error {
	sum, err := hex.DecodeString(p.SHA256)
	if err != nil || len(sum) != 32 || p.SHA256 != strings.ToLower(p.SHA256) {
		return refusal.New(ErrRefused, "", "%q: %q is no SHA-256", p.File, p.SHA256)
	}
	return texts(text{"name of the photo", p.File})
}

// CurrentSwatch returns a colour's newest swatch. ErrNoRecord when there is no such
// colour or it has no swatch.
func (b *Book) CurrentSwatch(ctx context.Context, colourName string) (Swatch, error) {
	found, err := b.Swatches(ctx, colourName)
	if err == nil && len(found) == 0 {
		err = refusal.New(ErrNoRecord, "keep one with evenhide swatch keep PHOTO --colour NAME", "the colour %q has no swatch yet", colourName)
	}
	if err != nil {
		return Swatch{}, err
	}
	return found[0], nil
}

// Swatches returns a colour's swatches, newest first. ErrNoRecord.
func (b *Book) Swatches(ctx context.Context, colourName string) ([]Swatch, error) {
	return named(ctx, b, aColour, colourName, swatches)
}

func swatches(ctx context.Context, q querier, colourID int64) ([]Swatch, error) {
	return collect(ctx, q, func(row *sql.Rows, s *Swatch) error {
		return row.Scan(&s.ID, &s.Colour, &s.Lab.L, &s.Lab.A, &s.Lab.B, asJSON{&s.Cov}, asJSON{&s.Print}, asJSON{&s.Photos},
			&s.Light, &s.Camera, &s.Card, truthIn{&s.CardMeasured}, moment{&s.Taken}, moment{&s.Kept})
	}, `SELECT s.id, c.name, s.l, s.a, s.b, s.cov, s.print_cov, s.photos, s.light, s.camera, s.card, s.card_measured,
		s.taken_at, s.kept_at
		FROM swatch s JOIN colour c ON c.id = s.colour_id WHERE s.colour_id = $1 ORDER BY s.id DESC`, colourID)
}
