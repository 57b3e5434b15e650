package scene

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"testing/fstest"

	"evenhide/colour"
)

func loadSpectra(t testing.TB) *Spectra {
	t.Helper()
	s, err := Load(os.DirFS("../../testdata/spectra"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// published returns the rows of a published table, without its header.
func published(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("../../testdata/published", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	return rows[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestWhiteOfD65(t *testing.T) {
	// ASTM E308's white of D65, 2°, from memory; it and a 5 nm sum over 380..780
	// agree to the last digit that is given, and half of one more is rounding.
	const tolerance = 6e-5
	s := loadSpectra(t)
	d65 := s.lights[D65]
	want := [3]float64{.95047, 1, 1.08883}
	for i, got := range s.white(&d65) {
		if math.Abs(got-want[i]) > tolerance {
			t.Errorf("component %d: %.6f, want %.5f", i, got, want[i])
		}
	}
}

func TestChartUnderD50(t *testing.T) {
	// The spectra and the published colours are of different charts and years:
	// manufacturing spread between charts is about 1 ΔE00 (common practice, no
	// source); a wrong observer, light or step errs by several.
	const each, mean = 2.5, 1.0
	s := loadSpectra(t)
	d50 := s.lights[D50]
	white := s.white(&d50)
	total := 0.0
	rows := published(t, "chart24_lab_d50.csv")
	if len(rows) != len(s.chart) {
		t.Fatalf("%d published patches, %d measured", len(rows), len(s.chart))
	}
	for i, row := range rows {
		if row[1] != s.chart[i].name {
			t.Fatalf("patch %d is %q and %q", i, row[1], s.chart[i].name)
		}
		want := colour.Lab{L: number(t, row[2]), A: number(t, row[3]), B: number(t, row[4])}
		got := toLab(s.xyz(&s.chart[i].spectrum, &d50), white)
		d := deltaE2000(want, got)
		total += d / float64(len(rows))
		if d > each {
			t.Errorf("%s: %.2f, published %.2f, ΔE00 %.2f", row[1], got, want, d)
		}
	}
	t.Logf("mean ΔE00 %.2f", total)
	if total > mean {
		t.Errorf("mean ΔE00 %.2f over %.1f", total, mean)
	}
}

func TestLoadNamesWhatIsWrong(t *testing.T) {
	good := fstest.MapFS{}
	names, err := filepath.Glob("../../testdata/spectra/*.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		data, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		good[filepath.Base(n)] = &fstest.MapFile{Data: data}
	}
	if _, err := Load(good); err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string]string{
		"missing": "", "lights.csv": "nm,D65\n380,1\n385,x\n", "camera_imx219.csv": "nm,R\n400,1\n405,1\n",
		"observer_1931_2deg.csv": "nm,x,y,z\n385,1,1,1\n380,1,1,1\n", "chart24_reflectance.csv": "\"",
	} {
		bad := fstest.MapFS{}
		for k, v := range good {
			bad[k] = v
		}
		if name == "missing" {
			delete(bad, "lights.csv")
		} else {
			bad[name] = &fstest.MapFile{Data: []byte(content)}
		}
		if _, err := Load(bad); err == nil {
			t.Errorf("%s: no error", name)
		} else {
			t.Log(err)
		}
	}
}
