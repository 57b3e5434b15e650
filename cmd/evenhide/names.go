package main

import (
	"strings"

	"evenhide/calibrate/refusal"
)

// inLists refuses the name of something new where it could not be told apart in a list of
// names, which these signs part. What a book holds from before goes on being called so.
func inLists(what, name, signs string) error {
	at := strings.IndexAny(name, signs)
	if at < 0 {
		return nil
	}
	return refusal.New(nil, "leave out or replace "+strings.Join(strings.Split(signs, ""), " ")+" in the name",
		"the %s's name %q has a %q, which parts names in a list of them", what, name, name[at:at+1])
}

// partsOfDye are the signs that part the names of bottles and dyes, as in
// "Green:0.4,Green+Tan" and "Tan=3,water=1".
const partsOfDye = ",:=+*"
