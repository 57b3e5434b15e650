package dye

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"evenhide/colour"
)

// The weights are those of the 5 nm tables: CIE D65 and the 1931 observer.
func TestDaylight(t *testing.T) {
	const rounding = 5.1e-7 // six decimals
	light, observer := spectralTable(t, "lights.csv"), spectralTable(t, "observer_1931_2deg.csv")
	var want [samples][3]float64
	sum := 0.0
	for nm, d := range light["D65"] {
		at := min(max((nm-400)/10, 0), samples-1)
		i := min(int(at), samples-2)
		u := at - float64(i)
		for c, name := range []string{"x_bar", "y_bar", "z_bar"} {
			v := d * observer[name][nm]
			want[i][c] += v * (1 - u)
			want[i+1][c] += v * u
			if name == "y_bar" {
				sum += v
			}
		}
	}
	for i, w := range daylight() {
		for c, v := range w {
			near(t, strconv.Itoa(400+10*i), v, want[i][c]/sum, rounding)
		}
	}
	e := newEye()
	near(t, "white", colour.DeltaE76(e.lab(new(spectrum)), colour.Lab{L: 100}), 0, rounding)
}

// spectralTable returns the columns of a table of spectra by their names, each by
// wavelength.
func spectralTable(t *testing.T, name string) map[string]map[float64]float64 {
	t.Helper()
	f, err := os.Open("../../testdata/spectra/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]map[float64]float64{}
	for c, column := range rows[0] {
		out[column] = map[float64]float64{}
		for _, row := range rows[1:] {
			nm, err := strconv.ParseFloat(row[0], 64)
			if err != nil {
				t.Fatal(err)
			}
			if out[column][nm], err = strconv.ParseFloat(row[c], 64); err != nil {
				t.Fatal(err)
			}
		}
	}
	return out
}
