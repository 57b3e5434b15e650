package shadebook

import (
	"context"
	"database/sql"
	"time"
)

// Recipe is a blend proposed for a colour.
type Recipe struct {
	ID       int64
	Colour   string
	Parts    []Part
	ML       float64 // to make; 0 when not said
	DE00     float64 // expected, to the reference
	Interval [2]float64
	At       time.Time
	Note     string
}

// AddRecipe stores a recipe; ID and At are set. ErrNoRecord, ErrRefused.
func (b *Book) AddRecipe(ctx context.Context, r Recipe) (Recipe, error) {
	err := checkParts(r.Parts)
	if err == nil {
		err = texts(text{"note", r.Note})
	}
	if err == nil {
		err = numbers(number{"ml", r.ML, 0, 1e6, false})
	}
	if err == nil {
		err = finite("ΔE00 of the recipe", r.DE00, r.Interval[0], r.Interval[1])
	}
	if err != nil {
		return r, err
	}
	r.At = now()
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		c, err := aColour.find(ctx, tx, r.Colour)
		if err != nil {
			return err
		}
		r.Colour = c.name
		return tx.QueryRowContext(ctx, `INSERT INTO recipe (colour_id, parts, ml, de00, low, high, at, note)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id`,
			c.id, asJSON{r.Parts}, r.ML, r.DE00, r.Interval[0], r.Interval[1], micro(r.At), r.Note).Scan(&r.ID)
	})
	return r, err
}

// Recipes returns a colour's recipes, newest first. ErrNoRecord.
func (b *Book) Recipes(ctx context.Context, colourName string) ([]Recipe, error) {
	return named(ctx, b, aColour, colourName, func(ctx context.Context, q querier, id int64) ([]Recipe, error) {
		return collect(ctx, q, func(row *sql.Rows, r *Recipe) error {
			return row.Scan(&r.ID, &r.Colour, asJSON{&r.Parts}, &r.ML, &r.DE00, &r.Interval[0], &r.Interval[1], moment{&r.At}, &r.Note)
		}, `SELECT r.id, c.name, r.parts, r.ml, r.de00, r.low, r.high, r.at, r.note
			FROM recipe r JOIN colour c ON c.id = r.colour_id WHERE r.colour_id = $1 ORDER BY r.id DESC`, id)
	})
}
