package shadebook

import (
	"context"
	"database/sql"
	"slices"
	"time"

	"evenhide/calibrate/refusal"
)

// Colour is what the maker sells by name, with its newest settings.
type Colour struct {
	ID      int64
	Name    string
	Added   time.Time
	Changed time.Time // when the settings became these
	Settings
}

// Settings are how a colour is made and judged.
type Settings struct {
	Tolerance       float64 // ΔE00 to the reference; above 0
	BlotchTolerance float64 // RMS ΔE00 of the surface; above 0
	KL              float64 // weight of lightness in ΔE00; above 0
	Coats           int     // usual number; 0 is unknown
	Blend           []Part
	DryingHours     float64 // between coats
	Notes           string
}

// Part is one dye of a blend, or water.
type Part struct {
	Dye   string  `json:"dye"`
	Parts float64 `json:"parts"` // above 0
}

// State is a colour's settings from a moment on.
type State struct {
	ID int64
	At time.Time
	Settings
}

// DefaultSettings returns the settings of a colour of which nothing is said.
func DefaultSettings() Settings {
	return Settings{Tolerance: 2, BlotchTolerance: 1.5, KL: 1, DryingHours: 12} // hours: common practice, no source
}

// AddColour adds a colour. ErrNameTaken, ErrRefused.
func (b *Book) AddColour(ctx context.Context, name string, s Settings) (Colour, error) {
	name, err := aColour.clean(name)
	if err == nil {
		err = s.check()
	}
	if err != nil {
		return Colour{}, err
	}
	at := now()
	c := Colour{Name: name, Added: at, Changed: at, Settings: s}
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) (err error) {
		if err = aColour.claim(ctx, tx, name); err != nil {
			return err
		}
		c.ID, err = aColour.added(tx.QueryRowContext(ctx, `INSERT INTO colour (name, added_at) VALUES ($1, $2)
			ON CONFLICT (name) DO NOTHING RETURNING id`, name, micro(at)), name)
		if err != nil {
			return err
		}
		return s.store(ctx, tx, c.ID, at)
	})
	return c, err
}

// ChangeColour gives a colour new settings: change gets the newest and alters them.
// It may be called more than once, if another bench changes the colour just then or
// the server goes away. ErrNoRecord, ErrRefused.
func (b *Book) ChangeColour(ctx context.Context, name string, change func(*Settings)) (c Colour, err error) {
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		found, err := aColour.find(ctx, tx, name)
		if err == nil {
			err = b.lock(ctx, tx, aColour, found.id, alone) // or two benches would each undo the other's change
		}
		if err != nil {
			return err
		}
		if c, err = colourWith(ctx, tx, found.id); err != nil {
			return err
		}
		c.Blend = slices.Clone(c.Blend)
		change(&c.Settings)
		if err := c.Settings.check(); err != nil {
			return err
		}
		c.Changed = now()
		return c.Settings.store(ctx, tx, found.id, c.Changed)
	})
	return c, err
}

// check refuses settings that cannot be.
func (s Settings) check() error {
	const most = 100 // no two colours are further apart
	err := numbers(
		number{"tolerance", s.Tolerance, 0, most, true},
		number{"blotch tolerance", s.BlotchTolerance, 0, most, true},
		number{"kL", s.KL, 0, most, true},
		number{"coats", float64(s.Coats), 0, 1000, false},
		number{"drying hours", s.DryingHours, 0, 10_000, false})
	if err == nil {
		err = checkParts(s.Blend)
	}
	if err == nil {
		err = texts(text{"notes", s.Notes})
	}
	return err
}

func checkParts(parts []Part) error {
	for _, p := range parts {
		if p.Dye == "" {
			return refusal.New(ErrRefused, "name each dye of the blend", "a blend has a part without a name")
		}
		if err := texts(text{"dye", p.Dye}); err != nil {
			return err
		}
		if err := numbers(number{"parts of " + p.Dye, p.Parts, 0, 1e6, true}); err != nil {
			return err
		}
	}
	return nil
}

func (s Settings) store(ctx context.Context, tx *sql.Tx, colourID int64, at time.Time) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO colour_state
		(colour_id, at, tolerance, blotch_tolerance, kl, coats, blend, drying_hours, notes)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		colourID, micro(at), s.Tolerance, s.BlotchTolerance, s.KL, s.Coats, asJSON{s.Blend}, s.DryingHours, s.Notes)
	return err
}

// stateColumns are what scan reads into.
const stateColumns = "s.tolerance, s.blotch_tolerance, s.kl, s.coats, s.blend, s.drying_hours, s.notes"

func (s *Settings) columns() []any {
	return []any{&s.Tolerance, &s.BlotchTolerance, &s.KL, &s.Coats, asJSON{&s.Blend}, &s.DryingHours, &s.Notes}
}

// colourQuery finds colours with their newest settings.
const colourQuery = "SELECT c.id, c.name, c.added_at, s.at, " + stateColumns + ` FROM colour c
	JOIN colour_state s ON s.id = (SELECT MAX(id) FROM colour_state WHERE colour_id = c.id)`

func scanColour(row *sql.Rows, c *Colour) error {
	return row.Scan(append([]any{&c.ID, &c.Name, moment{&c.Added}, moment{&c.Changed}}, c.Settings.columns()...)...)
}

func colourWith(ctx context.Context, q querier, id int64) (Colour, error) {
	return one(collect(ctx, q, scanColour, colourQuery+" WHERE c.id = $1", id))
}

// ColourNamed returns a colour. ErrNoRecord.
func (b *Book) ColourNamed(ctx context.Context, name string) (Colour, error) {
	return named(ctx, b, aColour, name, colourWith)
}

// Colours returns all colours by name.
func (b *Book) Colours(ctx context.Context) ([]Colour, error) {
	found, err := list(ctx, b, scanColour, colourQuery)
	return byName(found, func(c Colour) string { return c.Name }), err
}

// ColourHistory returns all settings that a colour has had, newest first. ErrNoRecord.
func (b *Book) ColourHistory(ctx context.Context, name string) ([]State, error) {
	return named(ctx, b, aColour, name, history)
}

func history(ctx context.Context, q querier, colourID int64) ([]State, error) {
	return collect(ctx, q, func(row *sql.Rows, s *State) error {
		return row.Scan(append([]any{&s.ID, moment{&s.At}}, s.Settings.columns()...)...)
	}, "SELECT s.id, s.at, "+stateColumns+" FROM colour_state s WHERE s.colour_id = $1 ORDER BY s.id DESC", colourID)
}
