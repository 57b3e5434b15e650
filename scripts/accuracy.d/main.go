// Command accuracy.d measures how true evenhide's numbers are on rendered photos
// whose truth comes from spectra; scripts/accuracy runs it.
package main

import (
	"fmt"
	"os"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "accuracy:", err)
		os.Exit(1)
	}
}
