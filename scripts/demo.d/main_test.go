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
	type limits struct{ differs, blotch [2]number }
	even := [2]number{0, .6}
	stories := map[string][]limits{
		"wallet.jpg":   {{[2]number{.4, .8}, even}},
		"strap.jpg":    {{[2]number{3.5, 4.5}, even}},
		"notebook.jpg": {{[2]number{0, .5}, [2]number{2, 3}}},
		"sleeve.jpg":   {{[2]number{3, 4}, even}},
		"bench.jpg":    {{[2]number{0, .8}, even}, {[2]number{0, .8}, even}, {[2]number{4, 6}, even}, {[2]number{0, .8}, even}},
		"dabs.jpg":     {{[2]number{0, .5}, even}, {[2]number{1.5, 3.5}, even}, {[2]number{2, 4}, even}, {[2]number{1.5, 4}, even}},
		"dyes.jpg":     {{[2]number{12, 15}, even}, {[2]number{20, 24}, even}, {[2]number{8, 12}, even}, {[2]number{11, 14}, even}, {[2]number{18, 22}, even}, {[2]number{5, 9}, even}},
		"strip.jpg":    {{[2]number{3.5, 4.5}, even}},
	}
	for _, r := range records {
		pieces, want := page{record: r}.Pieces(), stories[r.File]
		if len(pieces) != len(want) {
			t.Fatalf("%s: %d pieces, wanted %d", r.File, len(pieces), len(want))
		}
		for i, p := range pieces {
			if d, b := want[i].differs, want[i].blotch; p.DeltaE < d[0] || p.DeltaE > d[1] || p.Blotch < b[0] || p.Blotch > b[1] {
				t.Errorf("%s, %s: ΔE00 %.2f, blotch %.2f, wanted %v", r.File, p.Name, p.DeltaE, p.Blotch, want[i])
			}
		}
		if (r.Card == nil) != (r.File == "strip.jpg") {
			t.Errorf("%s: card %v", r.File, r.Card)
		}
	}
	if len(records) != len(stories) {
		t.Errorf("%d photos", len(records))
	}
}

// TestPhotosAreSmall keeps the repository light: with all seven it stays below 2.4 MB.
func TestPhotosAreSmall(t *testing.T) {
	const most = 350_000 // bytes
	names, err := filepath.Glob(filepath.Join("..", "..", "testdata", "demo", "*.jpg"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no photos: %v", err)
	}
	for _, name := range names {
		if info, err := os.Stat(name); err != nil || info.Size() > most {
			t.Errorf("%s: %v, or over %d bytes", name, err, most)
		}
	}
}
