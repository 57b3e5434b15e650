// Package shadebook keeps a workshop's records: colours, their swatches and blends,
// hides, bottles, pieces, coats, checks, batches and approvals. A book is one SQLite
// file, or a PostgreSQL database that several benches share.
//
// Nothing in a book is taken out or written over: a change is a new record, the
// newest counts, and a correction points at what it corrects. Each record, a check
// with its pieces and its evidence being one, is stored in one transaction.
//
// Records name each other by name, as their makers do: a Swatch says which Colour it
// is of by that colour's name. Names are trimmed, in Unicode's NFC, and unique within
// their kind, also without regard to case and to how many spaces they have. Times are kept to the microsecond, in UTC; the zero time is unknown.
//
// Errors are refusal.Error with one of the kinds below. They never hold a password.
package shadebook
