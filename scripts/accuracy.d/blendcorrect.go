package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os/exec"

	"evenhide/calibrate/scene"
)

// mixAgain draws another photo beside the same swatch, of a dab of the mix.
func (st *stage) mixAgain(first *dabScene, b blended, amounts []float64) scene.Scene {
	d := st.dabsAgain(first)
	mix, strength := b.blend(amounts)
	d.lay([]bottle{{spread, strength, mix}}, 1)
	return d.Scene
}

// correction has a mix corrected by a photo of its dab, and returns what is in it then;
// false where a photo was refused.
func (b blended) correction(path, dabs, second, mix string, amounts []float64) ([]float64, bool, error) {
	const ml = 100
	var out struct {
		Add []struct {
			Dye string
			ML  float64
		}
	}
	ok, err := ran(&out, "blend", "correct", "--json", "--dab", dabs+"="+path, "--mix", mix, "--ml", fmt.Sprint(ml), "--photo", second)
	after, total := make([]float64, len(amounts)), float64(ml)
	for i, a := range amounts {
		after[i] = a * ml
	}
	for _, a := range out.Add {
		total += a.ML
		if i := b.index(a.Dye); i >= 0 {
			after[i] += a.ML
		}
	}
	for i := range after {
		after[i] /= total
	}
	return after, ok, err
}

// ran runs the command itself and reads the JSON that it prints; false where it refused
// a photo.
func ran(into any, args ...string) (ok bool, err error) {
	cmd := exec.Command("build/evenhide", args...)
	text, err := cmd.Output()
	var exit *exec.ExitError
	switch {
	case err != nil && !errors.As(err, &exit):
		return false, fmt.Errorf("%v: %w", cmd.Args, err)
	case len(text) == 0 && exit != nil && len(exit.Stderr) > 0:
		return false, nil
	}
	if err := json.Unmarshal(text, into); err != nil {
		return false, fmt.Errorf("%v printed no result: %w", cmd.Args, err)
	}
	return true, nil
}
