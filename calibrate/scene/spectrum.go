package scene

import (
	"encoding/csv"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
)

// The wavelengths: 380..780 nm every 5 nm, the shortest range and coarsest step
// that CIE 15:2018 allows without correction (from memory of clause 7.1). Every
// measured light, the observer and the chart cover it; the cameras were measured
// over less and count as blind outside, as their filters make them.
const (
	firstNM = 380
	stepNM  = 5
	samples = 81
)

// Spectrum is a quantity at 380, 385, ... 780 nm.
type Spectrum [samples]float64

// wavelength returns the wavelength of sample i in nm.
func wavelength(i int) float64 { return firstNM + stepNM*float64(i) }

// spectrumOf returns the spectrum whose value at each wavelength, in nm, is f's.
func spectrumOf(f func(nm float64) float64) Spectrum {
	var s Spectrum
	for i := range s {
		s[i] = f(wavelength(i))
	}
	return s
}

// column is one named column of a table of spectra.
type column struct {
	name     string
	spectrum Spectrum
}

// readTable reads a CSV of spectra: a header line, wavelengths in nm in the
// first column in rising order. Values between the wavelengths given are
// interpolated linearly; outside them they are 0.
func readTable(fsys fs.FS, name string) ([]column, error) {
	file, err := fsys.Open(name)
	if err != nil {
		return nil, fmt.Errorf("spectra: %w", err)
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("spectra: %s: %w", name, err)
	}
	if len(rows) < 3 || len(rows[0]) < 2 {
		return nil, fmt.Errorf("spectra: %s: %d lines found, a header and two wavelengths wanted", name, len(rows))
	}
	numbers, err := parseRows(rows[1:])
	if err != nil {
		return nil, fmt.Errorf("spectra: %s: %w", name, err)
	}
	columns := make([]column, len(rows[0])-1)
	for c := range columns {
		columns[c] = column{rows[0][c+1], spectrumOf(func(nm float64) float64 { return interpolate(numbers, c+1, nm) })}
	}
	return columns, nil
}

func parseRows(rows [][]string) ([][]float64, error) {
	out := make([][]float64, len(rows))
	for i, row := range rows {
		for _, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("line %d: %q is not a number", i+2, cell)
			}
			out[i] = append(out[i], v)
		}
		if i > 0 && out[i][0] <= out[i-1][0] {
			return nil, fmt.Errorf("line %d: wavelength %g follows %g", i+2, out[i][0], out[i-1][0])
		}
	}
	return out, nil
}

func interpolate(rows [][]float64, col int, nm float64) float64 {
	i, found := slices.BinarySearchFunc(rows, nm, func(row []float64, nm float64) int {
		switch {
		case row[0] < nm:
			return -1
		case row[0] > nm:
			return 1
		}
		return 0
	})
	switch {
	case found:
		return rows[i][col]
	case i == 0 || i == len(rows):
		return 0
	}
	a, b := rows[i-1], rows[i]
	t := (nm - a[0]) / (b[0] - a[0])
	return a[col] + t*(b[col]-a[col])
}
