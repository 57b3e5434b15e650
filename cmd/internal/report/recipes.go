package report

import (
	"fmt"
	"io"

	"evenhide/cmd/internal/shadebook"
)

// Recipes are the recipes of a colour, newest first.
type Recipes struct {
	Version int      `json:"version"`
	Colour  string   `json:"colour"`
	Recipes []Recipe `json:"recipes"`
}

// Recipe is a blend that was kept.
type Recipe struct {
	ID       int64            `json:"id"`
	Parts    []shadebook.Part `json:"parts"`
	ML       float64          `json:"ml"` // 0 is not said
	DE00     float64          `json:"de00"`
	Interval [2]float64       `json:"interval"` // 0 to 0: nothing was expected of it
	At       string           `json:"at"`
	Note     string           `json:"note"`
	day      string
}

// NewRecipes returns the list of a colour's recipes.
func NewRecipes(colourName string, recipes []shadebook.Recipe) Recipes {
	out := Recipes{Version: Version, Colour: colourName, Recipes: []Recipe{}}
	for _, r := range recipes {
		out.Recipes = append(out.Recipes, Recipe{r.ID, r.Parts, r.ML, r.DE00, r.Interval, Time(r.At), r.Note, day(r.At)})
	}
	return out
}

// WriteText prints a line a recipe.
func (l Recipes) WriteText(w io.Writer) error {
	out := newSheet(w)
	fmt.Fprintln(out, oneLine(l.Colour))
	var lines [][]string
	for _, r := range l.Recipes {
		expected := ""
		if r.Interval[1] > 0 {
			expected = Expected{DE00: r.DE00, Interval: r.Interval}.cells()[0]
		}
		lines = append(lines, []string{fmt.Sprint(r.ID), r.day, blend(r.Parts), number(r.ML), expected, r.Note})
	}
	table(out, "recipe|kept|blend|ml|expected ΔE00|note", lines)
	if len(lines) > 0 {
		fmt.Fprintln(out, cautions)
	}
	return out.Flush()
}
