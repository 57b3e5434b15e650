package main

import (
	"bytes"
	"embed"
	"fmt"
	"io/fs"
	"strings"
	"text/template"

	"evenhide/calibrate/scene"
)

//go:embed readme.tmpl
var templates embed.FS

// build returns every file of the demo folder by name.
func build(spectra fs.FS) (map[string][]byte, error) {
	s, err := scene.Load(spectra)
	if err != nil {
		return nil, err
	}
	files := map[string][]byte{}
	var records []record
	var pages []page
	all, err := demos()
	if err != nil {
		return nil, err
	}
	for _, d := range all {
		data, truth, err := encode(d, s)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", d.file, err)
		}
		r := newRecord(d, truth)
		files[d.file] = data
		records = append(records, r)
		pages = append(pages, page{r, d.story})
	}
	if files["truth.json"], err = truthFile(records); err != nil {
		return nil, err
	}
	files["README.md"], err = readme(pages)
	return files, err
}

// page is one photo in the README.
type page struct {
	record
	Story string
}

// Pieces returns the photo's pieces.
func (p page) Pieces() []itemRecord {
	var out []itemRecord
	for _, it := range p.Items {
		if it.Kind == scene.Piece {
			out = append(out, it)
		}
	}
	return out
}

// Places returns the options that say where the greys, the swatch and the pieces
// of a photo without a card lie, from the truth.
func (p page) Places() string {
	var b strings.Builder
	for _, it := range p.Items {
		box := fmt.Sprintf("%d,%d,%d,%d", it.Box[0], it.Box[1], it.Box[2], it.Box[3])
		switch it.Kind {
		case scene.Step:
			fmt.Fprintf(&b, " \\\n  --grey %s=%g", box, float64(it.NominalL))
		case scene.Swatch:
			fmt.Fprintf(&b, " \\\n  --swatch %s", box)
		case scene.Piece:
			fmt.Fprintf(&b, " \\\n  --piece %s=%s", it.Name, box)
		}
	}
	return b.String()
}

func readme(pages []page) ([]byte, error) {
	t, err := template.ParseFS(templates, "readme.tmpl")
	if err != nil {
		return nil, err
	}
	var buf bytes.Buffer
	err = t.Execute(&buf, pages)
	return buf.Bytes(), err
}
