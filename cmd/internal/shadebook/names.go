package shadebook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/collate"
	"golang.org/x/text/language"
	"golang.org/x/text/unicode/norm"

	"evenhide/calibrate/refusal"
)

const (
	longestName = 200     // characters
	longestText = 100_000 // bytes
)

// kind is a kind of record that has names; it is also the name of its table.
type kind string

const (
	aColour kind = "colour"
	aHide   kind = "hide"
	aBottle kind = "bottle"
	aBatch  kind = "batch"
	aPiece  kind = "piece"
)

// clean returns a name as it is kept: trimmed, in NFC.
func (k kind) clean(name string) (string, error) {
	const hint = "give a name of letters, digits, signs and spaces"
	if !utf8.ValidString(name) {
		return "", refusal.New(ErrRefused, hint, "the %s's name %q is not UTF-8", k, name)
	}
	name = norm.NFC.String(strings.TrimSpace(name))
	switch n := utf8.RuneCountInString(name); {
	case n == 0:
		return "", refusal.New(ErrRefused, hint, "the %s's name is empty", k)
	case n > longestName:
		return "", refusal.New(ErrRefused, "shorten it", "the %s's name has %d characters, at most %d may be", k, n, longestName)
	case strings.ContainsFunc(name, unicode.IsControl):
		return "", refusal.New(ErrRefused, hint, "the %s's name %q has a control character", k, name)
	}
	return name, nil
}

func (k kind) taken(name string) error {
	return refusal.New(ErrNameTaken, "give another name", "there is a %s %q already", k, name)
}

func (k kind) missing(name string) error {
	hint := "evenhide " + string(k) + " list shows what there is"
	if k == aPiece {
		hint = "a new piece is added by coat add PIECE --colour NAME, or by a check of it that is kept"
	}
	return refusal.New(ErrNoRecord, hint, "there is no %s %q in the book", k, name)
}

// record is a named record by its ID and its name as it is kept.
type record struct {
	id   int64
	name string
}

// find returns the record with that name. ErrNoRecord.
func (k kind) find(ctx context.Context, q querier, name string) (record, error) {
	name, err := k.clean(name)
	if err != nil {
		return record{}, err
	}
	r := record{name: name}
	err = q.QueryRowContext(ctx, "SELECT id FROM "+string(k)+" WHERE name = $1", name).Scan(&r.id)
	if errors.Is(err, sql.ErrNoRows) {
		err = k.missing(name)
		if near, failed := k.spelled(ctx, q, name); failed != nil {
			err = failed
		} else if near != "" {
			err = refusal.New(ErrNoRecord, fmt.Sprintf("write it as %q", near), "there is no %s %q in the book", k, name)
		}
	}
	return r, err
}

// findAny is find where none need be named: "" gives a record without ID.
func (k kind) findAny(ctx context.Context, q querier, name string) (record, error) {
	if name == "" {
		return record{}, nil
	}
	return k.find(ctx, q, name)
}

// added scans the new ID of a named record; no row means that the name was taken.
func (k kind) added(row *sql.Row, name string) (id int64, err error) {
	if err = row.Scan(&id); errors.Is(err, sql.ErrNoRows) {
		return 0, k.taken(name)
	}
	return id, err
}

// byName sorts as a person would: without regard to case, 2 before 10.
func byName[T any](records []T, name func(T) string) []T {
	order := collate.New(language.Und, collate.IgnoreCase, collate.Numeric)
	slices.SortStableFunc(records, func(a, b T) int {
		if c := order.CompareString(name(a), name(b)); c != 0 {
			return c
		}
		return strings.Compare(name(a), name(b))
	})
	return records
}

// text is a field that holds words, by its name in an error.
type text struct{ field, value string }

func texts(fields ...text) error {
	for _, f := range fields {
		switch {
		case !utf8.ValidString(f.value) || strings.ContainsRune(f.value, 0):
			return refusal.New(ErrRefused, "write it as plain text", "%s: not plain UTF-8 text", f.field)
		case len(f.value) > longestText:
			return refusal.New(ErrRefused, "shorten it", "%s: %d bytes long, at most %d may be", f.field, len(f.value), longestText)
		}
	}
	return nil
}

// number is a field that holds a number from least to most; above least when open.
type number struct {
	field              string
	value, least, most float64
	open               bool
}

func numbers(fields ...number) error {
	for _, f := range fields {
		if f.value >= f.least && f.value <= f.most && (f.value > f.least || !f.open) {
			continue // false for NaN
		}
		from := "from"
		if f.open {
			from = "above"
		}
		return refusal.New(ErrRefused, "", "%s: got %v, wanted %s %v up to %v", f.field, f.value, from, f.least, f.most)
	}
	return nil
}

// finite refuses what no measurement gives.
func finite(field string, values ...float64) error {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return refusal.New(ErrRefused, "", "%s: got %v, wanted a number", field, v)
		}
	}
	return nil
}
