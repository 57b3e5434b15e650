package shadebook

import (
	"context"
	"database/sql"
)

// ColourSummary is what there is to say of a colour.
type ColourSummary struct {
	Colour   Colour
	History  []State        // newest first
	Swatches []Swatch       // newest first: the first is the current one
	Checks   []Check        // those that count, newest first, with their pieces
	Verdicts map[string]int // of all pieces in the checks that count
}

// ColourSummary returns what there is to say of a colour, with its latest checks.
// ErrNoRecord.
func (b *Book) ColourSummary(ctx context.Context, name string, latest int) (ColourSummary, error) {
	return named(ctx, b, aColour, name, func(ctx context.Context, q querier, id int64) (s ColourSummary, err error) {
		if s.Colour, err = colourWith(ctx, q, id); err != nil {
			return s, err
		}
		if s.History, err = history(ctx, q, id); err != nil {
			return s, err
		}
		if s.Swatches, err = swatches(ctx, q, id); err != nil {
			return s, err
		}
		if s.Checks, err = checks(ctx, q, "c.id IN (SELECT c.id FROM photo_check c WHERE c.colour_id = $1 AND "+counting+
			" ORDER BY c.id DESC LIMIT $2)", newestFirst, id, latest); err != nil {
			return s, err
		}
		s.Verdicts, err = verdicts(ctx, q, id)
		return s, err
	})
}

func verdicts(ctx context.Context, q querier, colourID int64) (map[string]int, error) {
	type count struct {
		verdict string
		n       int
	}
	counts, err := collect(ctx, q, func(row *sql.Rows, c *count) error { return row.Scan(&c.verdict, &c.n) },
		`SELECT p.verdict, COUNT(*) FROM photo_check c JOIN check_piece p ON p.check_id = c.id
		WHERE c.colour_id = $1 AND `+counting+" GROUP BY p.verdict", colourID)
	out := map[string]int{}
	for _, c := range counts {
		out[c.verdict] = c.n
	}
	return out, err
}
