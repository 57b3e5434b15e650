package shadebook

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"evenhide/calibrate/refusal"
)

// Coat is one coat of dye on a piece: from a bottle, or of a blend in words.
type Coat struct {
	ID          int64
	Piece       string
	Number      int // from 1; 0 asks AddCoat for the next
	When        time.Time
	Temperature *float64 // °C
	Bottle      string
	Blend       string
	Added       time.Time
}

// AddCoat adds a coat to a piece; ID, Number and Added are set. ErrNameTaken when
// the piece has a coat of that number, ErrNoRecord, ErrRefused also for a time that
// would put the piece's coats out of their order.
func (b *Book) AddCoat(ctx context.Context, c Coat) (Coat, error) {
	err := texts(text{"blend", c.Blend})
	if err == nil {
		err = numbers(number{"number of the coat", float64(c.Number), 0, 1000, false})
	}
	if t := c.Temperature; err == nil && t != nil {
		err = numbers(number{"temperature in °C", *t, -50, 100, false})
	}
	if err != nil {
		return c, err
	}
	asked := c.Number
	c.When, c.Added = kept(c.When), now()
	err = b.write(ctx, func(ctx context.Context, tx *sql.Tx) error {
		p, err := aPiece.find(ctx, tx, c.Piece)
		if err != nil {
			return err
		}
		bottle, err := aBottle.findAny(ctx, tx, c.Bottle)
		if err == nil {
			err = b.lock(ctx, tx, aPiece, p.id, alone) // or two benches would find the same next number
		}
		if c.Number = asked; err == nil && c.Number == 0 {
			err = tx.QueryRowContext(ctx, "SELECT COALESCE(MAX(number), 0) + 1 FROM coat WHERE piece_id = $1", p.id).Scan(&c.Number)
		}
		if err != nil {
			return err
		}
		c.Piece, c.Bottle = p.name, bottle.name
		err = tx.QueryRowContext(ctx, `INSERT INTO coat (piece_id, number, applied_at, temperature, bottle_id, blend, added_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7) ON CONFLICT (piece_id, number) DO NOTHING RETURNING id`,
			p.id, c.Number, micro(c.When), c.Temperature, idOrNull(bottle.id), c.Blend, micro(c.Added)).Scan(&c.ID)
		if errors.Is(err, sql.ErrNoRows) {
			return refusal.New(ErrNameTaken, "leave the number out for the next one", "the piece %q has a coat %d already", p.name, c.Number)
		}
		if err != nil || c.When.IsZero() {
			return err
		}
		return inOrder(ctx, tx, p, c)
	})
	return c, err
}

// inOrder refuses a coat that was laid before one of a lower number or after one of a
// higher: the checks between them would be taken for the wrong coat's. Within a minute,
// which is as fine as a clock is given and shown, any order will do.
func inOrder(ctx context.Context, q querier, p record, c Coat) error {
	var number int
	var when time.Time
	minute := c.When.Truncate(time.Minute)
	err := q.QueryRowContext(ctx, `SELECT number, applied_at FROM coat
		WHERE piece_id = $1 AND (number < $2 AND applied_at >= $4 OR number > $2 AND applied_at < $3)
		ORDER BY ABS(number - $2) LIMIT 1`, p.id, c.Number, micro(minute), micro(minute.Add(time.Minute))).Scan(&number, moment{&when})
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	than := "before"
	if number > c.Number {
		than = "after"
	}
	const clock = "2006-01-02 15:04"
	return refusal.New(ErrRefused, "give the day and the time at which it was laid, and with a number the one it has among the piece's coats",
		"coat %d of %q, laid %s, comes %s coat %d, laid %s", c.Number, p.name, c.When.Local().Format(clock), than, number, when.Local().Format(clock))
}

// Coats returns a piece's coats by number. ErrNoRecord.
func (b *Book) Coats(ctx context.Context, piece string) ([]Coat, error) {
	return named(ctx, b, aPiece, piece, func(ctx context.Context, q querier, id int64) ([]Coat, error) {
		return collect(ctx, q, func(row *sql.Rows, c *Coat) error {
			return row.Scan(&c.ID, &c.Piece, &c.Number, moment{&c.When}, &c.Temperature, &c.Bottle, &c.Blend, moment{&c.Added})
		}, `SELECT t.id, p.name, t.number, t.applied_at, t.temperature, COALESCE(b.name, ''), t.blend, t.added_at
			FROM coat t JOIN piece p ON p.id = t.piece_id LEFT JOIN bottle b ON b.id = t.bottle_id
			WHERE t.piece_id = $1 ORDER BY t.number`, id)
	})
}

// CoatedPieces returns the names of a colour's pieces that have coats noted, those
// added last first, at most so many. ErrNoRecord.
func (b *Book) CoatedPieces(ctx context.Context, colourName string, most int) ([]string, error) {
	return named(ctx, b, aColour, colourName, func(ctx context.Context, q querier, id int64) ([]string, error) {
		return collect(ctx, q, func(row *sql.Rows, name *string) error { return row.Scan(name) },
			`SELECT p.name FROM piece p WHERE p.colour_id = $1 AND EXISTS (SELECT 1 FROM coat t WHERE t.piece_id = p.id)
			ORDER BY p.id DESC LIMIT $2`, id, most)
	})
}
