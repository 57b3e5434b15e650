package main

import (
	"context"
	"strconv"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"evenhide/cmd/internal/shadebook"
)

// stored waits until a book holds so many photos in the batch fobs: stored FILE N.
func stored(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: stored FILE N")
	}
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	ctx := context.Background()
	book, err := shadebook.Open(ctx, args[0])
	ts.Check(err)
	defer book.Close()
	const most = time.Minute // for one photo, on a busy machine
	for begun := time.Now(); time.Since(begun) < most; time.Sleep(5 * time.Millisecond) {
		photos, err := book.StoredPhotos(ctx, "fobs", "")
		ts.Check(err)
		if len(photos) >= n {
			return
		}
	}
	ts.Fatalf("%s: not %d photos within %v", args[0], n, most)
}
