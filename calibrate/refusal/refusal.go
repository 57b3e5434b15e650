// Package refusal holds the one error type for what a person can put right: what
// was found, what was wanted, and what to do next.
package refusal

import "fmt"

// Error says why something was refused. Its text is lower case and has no full
// stop; Hint is the next thing to do, and is printed on a line of its own.
type Error struct {
	Kind error // what callers tell apart with errors.Is; may be nil
	What string
	Hint string
}

// New returns an Error of the given kind; format and args make its text.
func New(kind error, hint, format string, args ...any) *Error {
	return &Error{Kind: kind, What: fmt.Sprintf(format, args...), Hint: hint}
}

func (e *Error) Error() string { return e.What }

// Unwrap returns the kind, so that errors.Is finds it.
func (e *Error) Unwrap() error { return e.Kind }
