package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// TestDemoIsFresh holds the committed folder against what the command makes now,
// byte for byte. Other processors may fuse multiplications and additions and so
// round a code differently.
func TestDemoIsFresh(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("the committed files were made on amd64")
	}
	files, err := build(os.DirFS("../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join("..", "..", "testdata", "demo")
	for name, want := range files {
		got, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Error(err)
		} else if !bytes.Equal(got, want) {
			t.Errorf("%s differs from what scripts/demo makes: run it and look at the photos", name)
		}
	}
}

// TestDemoTellsItsStory holds each photo's truth against what the README says it
// is. The limits are where the stories would stop being true.
func TestDemoTellsItsStory(t *testing.T) {
	var records []record
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &records); err != nil {
		t.Fatal(err)
	}
	limits := map[string]struct{ differs, blotch [2]number }{
		"wallet.jpg":   {[2]number{.3, .8}, [2]number{0, .5}},
		"strap.jpg":    {[2]number{3.5, 4.5}, [2]number{0, .6}},
		"notebook.jpg": {[2]number{0, .5}, [2]number{2, 3}},
		"sleeve.jpg":   {[2]number{3, 4}, [2]number{0, .6}},
	}
	for _, r := range records {
		p, want := page{record: r}.Piece(), limits[r.File]
		if p.DeltaE < want.differs[0] || p.DeltaE > want.differs[1] || p.Blotch < want.blotch[0] || p.Blotch > want.blotch[1] {
			t.Errorf("%s: ΔE00 %.2f, blotch %.2f, wanted %v", r.File, p.DeltaE, p.Blotch, want)
		}
	}
	if len(records) != len(limits) {
		t.Errorf("%d photos", len(records))
	}
}
