package shadebook

import (
	"context"
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
func (b *Book) AddRecipe(ctx context.Context, r Recipe) (Recipe, error) { return Recipe{}, errNotYet }

// Recipes returns a colour's recipes, newest first. ErrNoRecord.
func (b *Book) Recipes(ctx context.Context, colourName string) ([]Recipe, error) {
	return nil, errNotYet
}
