package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"

	"evenhide/calibrate/scene"
)

// dabSeen is what evenhide's JSON says of one bottle, as far as it is looked at.
type dabSeen struct {
	Strength  float64
	Interval  [2]float64
	ShadeDE00 float64    `json:"shade_de00"`
	Shade     [2]float64 `json:"shade_interval"`
	Verdict   string
	WaterML   float64 `json:"water_ml_per_100ml_likely"` // 0 for what is not to be thinned
	Boxes     [][4]float64
}

// tried is a bottle, as it is and as it was reported; seen is empty when the photo
// was refused or a dab was not found.
type tried struct {
	job
	world world
	bottle
	lightness float64 // true L* of its dab
	seen      dabSeen
	thinned   *tried // as advised, in a photo of its own; nil for what was not called thin
}

func (t tried) measured() bool { return t.seen.Verdict != "" && t.seen.Verdict != "retake" }

func (t tried) String() string {
	return fmt.Sprintf("%s %d, %s at %.2f", t.light, t.seed, t.blend[0].Dye.Name, t.strength)
}

// tryDabs lays bottles and their reference, each as so many dabs, takes the photo and has
// it checked; then those that are called thin, with the water in them.
func (st *stage) tryDabs(j job, w world, each int) ([]tried, error) {
	d := st.dabScene(j, w)
	bottles := d.stock(st.spectra)
	if each > 1 {
		bottles = oneOfEach(bottles)
	}
	d.refer(each - 1)
	name := fmt.Sprintf("dabs-%s-%s-%d-%d", w, j.light, j.seed, each)
	if n := len(d.more); n > 0 {
		name += fmt.Sprintf("r%d", n)
	}
	all, err := st.layAndCheck(d, bottles, each, name)
	if err != nil {
		return nil, err
	}
	return all, st.thin(d, all, each, name)
}

// layAndCheck lays the bottles in d, takes the photo of that name and has it checked.
func (st *stage) layAndCheck(d *dabScene, bottles []bottle, each int, name string) ([]tried, error) {
	d.lay(bottles, each)
	path := filepath.Join(st.dir, name+".jpg")
	truth, err := st.shoot(d.Scene, path)
	if err != nil {
		return nil, err
	}
	seen, err := checkDabs(path)
	if each > 1 && err == nil {
		seen, err = checkDabs(path, "--called", called(seen, truth, each))
	}
	if err != nil {
		return nil, err
	}
	var out []tried
	for i, b := range bottles {
		it := truth.Find(fmt.Sprintf("dab %d", i*each+1))
		x := tried{job: d.job, world: d.world, bottle: b, lightness: it.Lab.L}
		if k := dabAt(seen, it.Outline); k >= 0 && len(seen[k].Boxes) == each {
			x.seen = seen[k]
		}
		out = append(out, x)
	}
	return out, nil
}

// oneOfEach returns the first bottle of each kind: a sheet has room for a dozen dabs.
func oneOfEach(bottles []bottle) (out []bottle) {
	seen := map[bottleKind]bool{}
	for _, b := range bottles {
		if !seen[b.kind] {
			out = append(out, b)
		}
		seen[b.kind] = true
	}
	return out
}

// called names the bottle of each dab that was seen, in its order.
func called(seen []dabSeen, truth scene.Truth, each int) string {
	names := make([]string, len(seen))
	for i := range names {
		names[i] = fmt.Sprint("stray ", i)
	}
	for _, it := range truth.Items {
		k := dabAt(seen, it.Outline)
		if k < 0 {
			continue
		}
		var dab int
		if _, err := fmt.Sscanf(it.Name, "dab %d", &dab); err == nil {
			names[k] = fmt.Sprint("bottle ", (dab-1)/each)
		} else {
			names[k] = string(reference)
		}
	}
	return strings.Join(names, ",")
}

// dabAt returns which bottle has a dab whose box holds the middle of the outline, or
// -1.
func dabAt(seen []dabSeen, outline []scene.Point) int {
	var x, y float64
	for _, p := range outline {
		x, y = x+p.X/float64(len(outline)), y+p.Y/float64(len(outline))
	}
	for i, s := range seen {
		for _, b := range s.Boxes {
			if x >= b[0] && x < b[0]+b[2] && y >= b[1] && y < b[1]+b[3] {
				return i
			}
		}
	}
	return -1
}

// checkDabs runs the command itself on one photo; a photo that it refuses shows
// nothing.
func checkDabs(path string, options ...string) ([]dabSeen, error) {
	cmd := exec.Command("build/evenhide", append(append([]string{"bottle", "check", "--json"}, options...), path)...)
	out, err := cmd.Output()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		return nil, fmt.Errorf("%v: %w", cmd.Args, err)
	}
	if refused := exit != nil && len(out) == 0 && len(exit.Stderr) > 0; refused {
		return nil, nil
	}
	var result struct{ Dabs []dabSeen }
	if err := json.Unmarshal(out, &result); err != nil {
		return nil, fmt.Errorf("%v printed no result: %w", cmd.Args, err)
	}
	return result.Dabs, nil
}
