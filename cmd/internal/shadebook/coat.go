package shadebook

import (
	"context"
	"database/sql"
	"time"

	"evenhide/calibrate/refusal"
)

// Coat is one coat of dye on a piece: from a bottle, or of a blend in words.
type Coat struct {
	ID          int64
	Piece       string
	Number      int // from 1; 0 asks AddCoat for the next
	Has         int // how many coats the piece has with it: its number, less those before it that were dropped
	When        time.Time
	Temperature *float64 // °C
	Bottle      string
	Blend       string
	Added       time.Time
}

// AddCoat adds a coat to a piece; ID, Number, Has and Added are set. ErrNameTaken when
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
		if err != nil {
			return err
		}
		noted, err := coatsOf(ctx, tx, p.id)
		if err != nil {
			return err
		}
		c.Piece, c.Bottle, c.Number = p.name, bottle.name, asked
		if asked == 0 {
			c.Number = noted.next()
		}
		c.Has = noted.has(c.Number)
		if err := noted.takes(c); err != nil {
			return err
		}
		return tx.QueryRowContext(ctx, `INSERT INTO coat (piece_id, number, applied_at, temperature, bottle_id, blend, added_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7) RETURNING id`,
			p.id, c.Number, micro(c.When), c.Temperature, idOrNull(bottle.id), c.Blend, micro(c.Added)).Scan(&c.ID)
	})
	return c, err
}

// notDropped leaves out the coats t that were dropped.
const notDropped = "NOT EXISTS (SELECT 1 FROM coat_drop gone WHERE gone.coat_id = t.id)"

// coats are what is noted of a piece, by number.
type coats struct {
	laid    []Coat
	dropped []CoatDrop // of one number the oldest first
}

func (noted coats) next() int {
	if len(noted.laid) == 0 {
		return 1
	}
	return noted.laid[len(noted.laid)-1].Number + 1
}

// with returns the coat of a number that is laid; nil when there is none.
func (noted coats) with(number int) *Coat {
	for i := range noted.laid {
		if noted.laid[i].Number == number {
			return &noted.laid[i]
		}
	}
	return nil
}

// has returns how many coats the piece has with that of a number: those before it that
// were dropped, and not noted again, were never laid.
func (noted coats) has(number int) int {
	never := map[int]bool{}
	for _, d := range noted.dropped {
		if n := d.Coat.Number; n < number && noted.with(n) == nil {
			never[n] = true
		}
	}
	return number - len(never)
}

// clock is how an error shows a time.
const clock = "2006-01-02 15:04"

// takes refuses a coat whose number is taken, or that was surely laid before one of a lower
// number or after one of a higher: the checks between them would be taken for the wrong
// coat's.
func (noted coats) takes(c Coat) error {
	if noted.with(c.Number) != nil {
		return refusal.New(ErrNameTaken, "leave the number out for the next one", "the piece %q has a coat %d already", c.Piece, c.Number)
	}
	var wrong *Coat // the nearest by number
	than := ""
	for i, o := range noted.laid {
		switch {
		case o.Number < c.Number && c.surelyBefore(o):
			wrong, than = &noted.laid[i], "before"
		case o.Number > c.Number && wrong == nil && o.surelyBefore(c):
			wrong, than = &noted.laid[i], "after"
		}
	}
	if wrong == nil {
		return nil
	}
	return refusal.New(ErrRefused, "give the day and the time at which it was laid, and with a number the one it has among the piece's coats; one noted wrongly goes by evenhide coat drop",
		"coat %d of %q, laid %s, comes %s coat %d, laid %s", c.Number, c.Piece, c.noted(), than, wrong.Number, wrong.noted())
}

// Coats returns a piece's coats by number, without those that were dropped. ErrNoRecord.
func (b *Book) Coats(ctx context.Context, piece string) ([]Coat, error) {
	noted, err := named(ctx, b, aPiece, piece, coatsOf)
	return noted.laid, err
}

func coatsOf(ctx context.Context, q querier, pieceID int64) (noted coats, err error) {
	all, err := collect(ctx, q, func(row *sql.Rows, d *CoatDrop) error {
		c := &d.Coat
		return row.Scan(&c.ID, &c.Piece, &c.Number, moment{&c.When}, &c.Temperature, &c.Bottle, &c.Blend, moment{&c.Added},
			&d.ID, &d.By, moment{&d.At}, &d.Why)
	}, `SELECT t.id, p.name, t.number, t.applied_at, t.temperature, COALESCE(b.name, ''), t.blend, t.added_at,
		COALESCE(d.id, 0), COALESCE(d.dropped_by, ''), d.at, COALESCE(d.why, '')
		FROM coat t JOIN piece p ON p.id = t.piece_id LEFT JOIN bottle b ON b.id = t.bottle_id
		LEFT JOIN coat_drop d ON d.coat_id = t.id WHERE t.piece_id = $1 ORDER BY t.number, t.id`, pieceID)
	for _, d := range all {
		if d.ID == 0 {
			noted.laid = append(noted.laid, d.Coat)
		} else {
			noted.dropped = append(noted.dropped, d)
		}
	}
	for i, c := range noted.laid {
		noted.laid[i].Has = noted.has(c.Number)
	}
	return noted, err
}

// CoatedPieces returns the names of a colour's pieces that have coats noted, those
// added last first, at most so many. ErrNoRecord.
func (b *Book) CoatedPieces(ctx context.Context, colourName string, most int) ([]string, error) {
	return named(ctx, b, aColour, colourName, func(ctx context.Context, q querier, id int64) ([]string, error) {
		return collect(ctx, q, func(row *sql.Rows, name *string) error { return row.Scan(name) },
			`SELECT p.name FROM piece p WHERE p.colour_id = $1 AND EXISTS (SELECT 1 FROM coat t WHERE t.piece_id = p.id AND `+notDropped+`)
			ORDER BY p.id DESC LIMIT $2`, id, most)
	})
}
