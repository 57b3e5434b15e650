package shadebook

import (
	"context"
	"time"
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
	return Colour{}, errNotYet
}

// ChangeColour gives a colour new settings: change gets the newest and alters them.
// It may be called more than once, if another bench changes the colour just then or
// the server goes away. ErrNoRecord, ErrRefused.
func (b *Book) ChangeColour(ctx context.Context, name string, change func(*Settings)) (Colour, error) {
	return Colour{}, errNotYet
}

// ColourNamed returns a colour. ErrNoRecord.
func (b *Book) ColourNamed(ctx context.Context, name string) (Colour, error) {
	return Colour{}, errNotYet
}

// Colours returns all colours by name.
func (b *Book) Colours(ctx context.Context) ([]Colour, error) { return nil, errNotYet }

// ColourHistory returns all settings that a colour has had, newest first. ErrNoRecord.
func (b *Book) ColourHistory(ctx context.Context, name string) ([]State, error) {
	return nil, errNotYet
}

// ColourSummary is what there is to say of a colour.
type ColourSummary struct {
	Colour   Colour
	History  []State        // newest first
	Swatches []Swatch       // newest first: the first is the current one
	Checks   []Check        // newest first, with their pieces
	Verdicts map[string]int // of all pieces ever checked against it, by verdict
}

// ColourSummary returns what there is to say of a colour, with its latest checks.
// ErrNoRecord.
func (b *Book) ColourSummary(ctx context.Context, name string, latest int) (ColourSummary, error) {
	return ColourSummary{}, errNotYet
}
