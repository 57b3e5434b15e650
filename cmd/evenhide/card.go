package main

import (
	"crypto/rand"
	"fmt"
	"io"
	"math/big"
	"path/filepath"
	"strings"

	"evenhide/calibrate/card"
	"evenhide/cmd/internal/outfile"
)

const cardUsage = `evenhide card --out FILE [options]

Writes the card to print and to lay beside the pieces: FILE.pdf to print at 100 %,
with a page on how to use it; FILE.png (300 dots an inch) or FILE.svg, the card alone.

  --out FILE       where to write it; .pdf, .png or .svg; it takes the place of an
                   older card, but of no other file
  --paper a4       paper of the PDF: a4 or letter
  --serial SERIAL  six characters; a new serial when not given
  --geometry       print where everything on the card lies, as JSON, in millimetres

evenhide card measure --help tells how to measure what the printer made of it.
`

func cardCommands() []command {
	return []command{
		{"card", "--out FILE", "write the grey card to print", runCard},
		{"card measure", "PHOTO", "measure a printed card by bought greys", runCardMeasure},
	}
}

// runCard is the command card.
func runCard(args []string, stdout io.Writer) (int, error) {
	fs := newFlags("card")
	out := fs.String("out", "", "")
	paper := fs.String("paper", "a4", "")
	serial := fs.String("serial", "", "")
	geometry := fs.Bool("geometry", false, "")
	if done, code, err := parse(fs, args, cardUsage, stdout); done {
		return code, err
	}
	if *geometry {
		table, err := card.NewLayout().Geometry()
		if err == nil {
			_, err = fmt.Fprintf(stdout, "%s\n", table)
		}
		return exitOf(err), err
	}
	if *out == "" || fs.NArg() > 0 {
		return notMeasured, misuse("card", "wanted --out FILE and nothing else")
	}
	if *serial == "" {
		*serial = newSerial()
	}
	fill, err := cardWriter(*out, *serial, card.Paper(strings.ToLower(*paper)))
	if err == nil {
		err = outfile.Write(*out, outfile.Marked("a card", card.Mark), fill)
	}
	if err == nil {
		_, err = fmt.Fprintf(stdout, "%s: card %s\n  next: print it once, at 100 %%, on matt white paper\n", *out, *serial)
	}
	return exitOf(err), err
}

// cardWriter returns what writes the card in the format of path's ending.
func cardWriter(path, serial string, paper card.Paper) (func(io.Writer) error, error) {
	if err := card.CheckSerial(serial); err != nil {
		return nil, err
	}
	switch ending := strings.ToLower(filepath.Ext(path)); ending {
	case ".pdf":
		return func(w io.Writer) error { return card.WritePDF(w, serial, paper) }, nil
	case ".png":
		return func(w io.Writer) error { return card.WritePNG(w, serial) }, nil
	case ".svg":
		return func(w io.Writer) error { return card.WriteSVG(w, serial) }, nil
	default:
		return nil, misuse("card", "%s: a card is written as .pdf, .png or .svg, not %q", path, ending)
	}
}

// newSerial draws a serial: two cards of one workshop will hardly share it.
func newSerial() string {
	var b strings.Builder
	for range card.SerialLength {
		i, err := rand.Int(rand.Reader, big.NewInt(int64(len(card.SerialAlphabet))))
		if err != nil {
			panic(err) // the system's randomness never fails (crypto/rand)
		}
		b.WriteByte(card.SerialAlphabet[i.Int64()])
	}
	return b.String()
}
