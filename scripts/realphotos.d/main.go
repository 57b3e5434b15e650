// Command realphotos.d measures evenhide on real photos of a 24-patch chart:
// the six neutral patches are the grey steps, each coloured patch in turn the
// swatch and all others pieces. It prints, per set of photos, the mean distance
// between the ΔE00 that evenhide reports and the ΔE00 between the published Labs,
// and exits 1 when that exceeds what the set must keep.
package main

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"evenhide/colour"
)

// Pairs further apart than this are no colour differences: ΔE00 cannot rank them.
const farthest = 17

type limit struct {
	set  string
	most float64
}

// limits are the mean errors that each set must keep, with six steps.
func limits() []limit {
	return []limit{
		{"phone-large", 2.4}, {"phone-small", 1.8}, // what steps alone reached, the light not flattened
		{"bench-clipped", 2}, // its whites are clipped and its contrast stretched
	}
}

func main() {
	if err := run(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, "realphotos:", err)
		os.Exit(1)
	}
}

func run(program, dir string) error {
	truth, err := published("testdata/published/chart24_lab_d50.csv")
	if err != nil {
		return err
	}
	photos, err := places(filepath.Join(dir, "charts", "patches.csv"))
	if err != nil {
		return err
	}
	fmt.Println("mean |reported - published| ΔE00, pairs of coloured patches under", farthest)
	fmt.Printf("%-15s %6s %10s %10s %8s\n", "photos", "pairs", "six steps", "one grey", "at most")
	var failed error
	for _, l := range limits() {
		six, one, n := 0.0, 0.0, 0
		for file, patches := range photos {
			if !strings.HasPrefix(file, l.set) {
				continue
			}
			path := filepath.Join(dir, "charts", file)
			a, count, err := pairErrors(program, path, patches, truth, []int{19, 20, 21, 22, 23, 24})
			if err != nil {
				return err
			}
			b, _, err := pairErrors(program, path, patches, truth, []int{22})
			if err != nil {
				return err
			}
			six, one, n = six+a, one+b, n+count
		}
		if n == 0 {
			return fmt.Errorf("no %s photos in %s", l.set, dir)
		}
		fmt.Printf("%-15s %6d %10.3f %10.3f %8.1f\n", l.set, n, six/float64(n), one/float64(n), l.most)
		if six/float64(n) > l.most {
			failed = errors.Join(failed, fmt.Errorf("%s: %.3f is over %.1f", l.set, six/float64(n), l.most))
		}
	}
	return failed
}

// pairErrors returns the sum of |reported - published| over the photo's pairs
// and their number.
func pairErrors(program, path string, patches map[int]string, truth map[int]colour.Lab, greys []int) (sum float64, n int, err error) {
	for swatch := 1; swatch <= 18; swatch++ {
		args := []string{"check", "--json", "--swatch", patches[swatch]}
		for _, g := range greys {
			args = append(args, "--grey", fmt.Sprintf("%s=%g", patches[g], truth[g].L))
		}
		want := map[string]float64{}
		for piece := 1; piece <= 18; piece++ {
			if de := colour.DeltaE2000(truth[swatch], truth[piece], colour.UnitWeights()); piece != swatch && de < farthest {
				args = append(args, "--piece", fmt.Sprintf("%d=%s", piece, patches[piece]))
				want[strconv.Itoa(piece)] = de
			}
		}
		if len(want) == 0 {
			continue
		}
		got, err := check(program, append(args, path))
		if err != nil {
			return 0, 0, fmt.Errorf("%s: %w", path, err)
		}
		for name, de := range want {
			seen, measured := got[name]
			if !measured {
				return 0, 0, fmt.Errorf("%s: patch %s is missing from the result", path, name)
			}
			sum, n = sum+math.Abs(seen-de), n+1
		}
	}
	return sum, n, nil
}

// check runs evenhide and returns each piece's ΔE00.
func check(program string, args []string) (map[string]float64, error) {
	out, err := exec.Command(program, args...).Output()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) { // pieces that do not ship exit with 1
		return nil, err
	}
	var result struct {
		Photos []struct {
			Error  string
			Pieces []struct {
				Name string
				DE00 *float64
			}
		}
	}
	if err := json.Unmarshal(out, &result); err != nil {
		return nil, fmt.Errorf("%v: %w", args, err)
	}
	got := map[string]float64{}
	for _, p := range result.Photos[0].Pieces {
		if p.DE00 == nil {
			return nil, fmt.Errorf("patch %s was not measured", p.Name)
		}
		got[p.Name] = *p.DE00
	}
	if msg := result.Photos[0].Error; msg != "" {
		return nil, errors.New(msg)
	}
	return got, nil
}

// published returns the chart's Lab values (D50, 2°, charts made before
// November 2014) by patch.
func published(path string) (map[int]colour.Lab, error) {
	truth := map[int]colour.Lab{}
	err := eachRow(path, func(row map[string]string) error {
		v, err := numbers(row, "no", "L_before_nov2014", "a_before", "b_before")
		if err == nil {
			truth[int(v[0])] = colour.Lab{L: v[1], A: v[2], B: v[3]}
		}
		return err
	})
	return truth, err
}

// places returns, by photo and patch, the square inside each patch as X,Y,W,H.
func places(path string) (map[string]map[int]string, error) {
	photos := map[string]map[int]string{}
	err := eachRow(path, func(row map[string]string) error {
		v, err := numbers(row, "patch", "cx", "cy", "safe_radius_px")
		if err != nil {
			return err
		}
		if photos[row["file"]] == nil {
			photos[row["file"]] = map[int]string{}
		}
		half := int(v[3] / math.Sqrt2)
		photos[row["file"]][int(v[0])] = fmt.Sprintf("%d,%d,%d,%d", int(v[1])-half, int(v[2])-half, 2*half, 2*half)
		return nil
	})
	return photos, err
}

func eachRow(path string, do func(map[string]string) error) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	for _, fields := range rows[1:] {
		row := map[string]string{}
		for i, name := range rows[0] {
			row[name] = fields[i]
		}
		if err := do(row); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
	}
	return nil
}

func numbers(row map[string]string, names ...string) ([]float64, error) {
	var out []float64
	for _, n := range names {
		v, err := strconv.ParseFloat(row[n], 64)
		if err != nil {
			return nil, fmt.Errorf("column %s: %w", n, err)
		}
		out = append(out, v)
	}
	return out, nil
}
