// Command demo.d renders the demo photos of an invented workshop, with the truth
// about them and a README, into a folder: testdata/demo unless one is named. Run
// it from the root of the module; scripts/demo does.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"evenhide/calibrate/card"
	"evenhide/calibrate/scene"
	"evenhide/colour"
)

func main() {
	folder := filepath.Join("testdata", "demo")
	if len(os.Args) > 1 {
		folder = os.Args[1]
	}
	if err := run(folder); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(folder string) error {
	files, err := build(os.DirFS(filepath.Join("testdata", "spectra")))
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// encode renders one demo photo as a JPEG and returns it with its truth.
func encode(d demo, spectra *scene.Spectra) ([]byte, scene.Truth, error) {
	img, truth, err := scene.Render(d.scene, spectra)
	if err != nil {
		return nil, truth, err
	}
	var buf bytes.Buffer
	err = scene.WriteJPEG(&buf, img, scene.File{Quality: 92, Orientation: 1, Taken: d.taken})
	return buf.Bytes(), truth, err
}

// record is what truth.json says of one photo.
type record struct {
	File   string       `json:"file"`
	Seed   uint64       `json:"seed"`
	Light  string       `json:"light"`
	Camera string       `json:"camera"`
	Taken  time.Time    `json:"taken"`
	Colour string       `json:"colour"`
	Card   *cardRecord  `json:"card,omitempty"`
	Items  []itemRecord `json:"items"`
}

// cardRecord is what truth.json says of the printed card: what its greys are
// said to be, paper first, and CIELAB under D65, 2°, of what was printed.
type cardRecord struct {
	Serial   string      `json:"serial"`
	NominalL []number    `json:"nominal_l"`
	Lab      [][3]number `json:"lab"`
}

func newCardRecord(levels [256]colour.Lab) *cardRecord {
	r := &cardRecord{Serial: cardSerial}
	steps := card.NewLayout().Steps
	for _, s := range steps[:len(steps)/2] { // the other row has them again
		c := levels[s.Fill]
		r.NominalL, r.Lab = append(r.NominalL, number(s.L)), append(r.Lab, lab(c.L, c.A, c.B))
	}
	return r
}

// itemRecord is what truth.json says of one thing in a photo. Box is X, Y, width
// and height in pixels; Lab is CIELAB under D65, 2°.
type itemRecord struct {
	Name      string     `json:"name"`
	Kind      scene.Kind `json:"kind"`
	Box       [4]int     `json:"box"`
	Lab       [3]number  `json:"lab"`
	BoxLab    [3]number  `json:"box_lab"`
	NominalL  number     `json:"nominal_l,omitempty"`
	DeltaE    number     `json:"delta_e00_to_swatch,omitempty"`
	BoxDeltaE number     `json:"box_delta_e00_to_swatch,omitempty"`
	Blotch    number     `json:"blotch_rms_delta_e00,omitempty"`
	Uneven    number     `json:"uneven_rms_delta_e00,omitempty"`
	Strength  number     `json:"strength,omitempty"`
}

// number is written with three decimals.
type number float64

func (n number) MarshalJSON() ([]byte, error) { return fmt.Appendf(nil, "%.3f", float64(n)), nil }

func newRecord(d demo, t scene.Truth) record {
	r := record{File: d.file, Seed: d.scene.Seed, Light: d.scene.Light.Name, Camera: d.scene.Camera.Sensor, Taken: d.taken, Colour: d.colour}
	if len(t.Levels) > 0 {
		r.Card = newCardRecord(t.Levels[0])
	}
	for _, it := range t.Items {
		if it.Kind == scene.Other {
			continue
		}
		rec := itemRecord{Name: it.Name, Kind: it.Kind, Box: [4]int{it.Box.Min.X, it.Box.Min.Y, it.Box.Dx(), it.Box.Dy()},
			Lab: lab(it.Lab.L, it.Lab.A, it.Lab.B), BoxLab: lab(it.BoxLab.L, it.BoxLab.A, it.BoxLab.B), NominalL: number(it.NominalL)}
		if it.Kind == scene.Piece {
			rec.DeltaE, rec.BoxDeltaE = number(it.DeltaE), number(it.BoxDeltaE)
			rec.Blotch, rec.Uneven, rec.Strength = number(it.Blotch), number(it.Uneven), number(it.Strength)
		}
		r.Items = append(r.Items, rec)
	}
	return r
}

func lab(l, a, b float64) [3]number { return [3]number{number(l), number(a), number(b)} }

func truthFile(records []record) ([]byte, error) {
	data, err := json.MarshalIndent(records, "", " ")
	return append(data, '\n'), err
}
