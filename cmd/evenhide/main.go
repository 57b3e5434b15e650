// Command evenhide tells a leather workshop how far a dyed piece is from its
// colour's reference swatch, from a photo taken beside a grey card.
package main

import (
	"fmt"
	"os"

	"evenhide/cmd/internal/report"
)

func main() {
	status, err := run(os.Args[1:], os.Stdout)
	if err != nil {
		fmt.Fprintln(os.Stderr, "evenhide: "+err.Error())
		if hint := hintOf(err); hint != "" {
			fmt.Fprintln(os.Stderr, report.Folded("hint: "+hint))
		}
	}
	os.Exit(status)
}
