package card

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"evenhide/calibrate/refusal"
)

// ErrMeasured is the kind of refusal for a file of measured greys that cannot be
// used.
var ErrMeasured = errors.New("measured card unusable")

// Measured holds what a printer really made of one card's greys.
type Measured struct {
	Layout int       `json:"layout"` // the card's layout version
	Serial string    `json:"serial"`
	L      []float64 `json:"L"` // L* (D65, 2°) by Step.Level, from paper white
	// LevelOnly says that only how light the greys are all together was measured:
	// how they differ from each other is still what the printer was asked for.
	LevelOnly bool `json:"level_only,omitempty"`
}

// Write writes m as a small JSON file.
func (m Measured) Write(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", " ")
	return enc.Encode(m)
}

// ReadMeasured reads what Write wrote. Errors begin with name and are of kind
// ErrMeasured.
func ReadMeasured(r io.Reader, name string) (Measured, error) {
	var m Measured
	refuse := func(format string, args ...any) (Measured, error) {
		return Measured{}, refusal.New(ErrMeasured, "measure the card again with evenhide card measure",
			"%s: %s", name, fmt.Sprintf(format, args...))
	}
	const most = 1 << 16 // bytes: a card has a dozen greys
	if err := json.NewDecoder(io.LimitReader(r, most)).Decode(&m); err != nil {
		return refuse("not a file of measured greys: %v", err)
	}
	if err := m.Check(); err != nil {
		return refuse("%v", err)
	}
	return m, nil
}

// Check returns what is wrong with m as the greys of a card of this layout, nil
// when nothing is. Errors are of kind ErrMeasured.
func (m Measured) Check() error {
	refuse := func(format string, args ...any) error {
		return refusal.New(ErrMeasured, "keep shadows and shine off the card and take the photo again", format, args...)
	}
	if m.Layout != layoutVersion || len(m.L) != stepCount || CheckSerial(m.Serial) != nil {
		return refuse("measured greys of another card: layout %d with %d greys, wanted layout %d with %d", m.Layout, len(m.L), layoutVersion, stepCount)
	}
	for i, l := range m.L {
		if !(l > 0 && l <= 100) || (i > 0 && l >= m.L[i-1]) {
			return refuse("grey %d has L* %.3g; they must fall from paper white to black", i+1, l)
		}
	}
	return nil
}
