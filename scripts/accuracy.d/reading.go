package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os/exec"
)

// photo is what evenhide's JSON says of one photo, as far as it is looked at.
type photo struct {
	Error string
	Card  *struct {
		Serial     string
		ResidualPx float64 `json:"residual_px"`
		Outline    [4][2]float64
	}
	Sheet *struct {
		UnevenPercent float64 `json:"uneven_percent"`
	}
	Reference *struct{ Lab [3]float64 }
	Pieces    []piece
}

type piece struct {
	Name     string
	Box      [4]int
	Outline  [][2]float64
	Lab      *[3]float64
	DE00     float64
	U        float64
	Interval [2]float64
	Words    string
	Verdict  string
	Reasons  []string
	Depth    *struct{ Strength float64 }
	Blotch   struct {
		RMS             float64 `json:"rms_de00"`
		Streaky         bool
		StreakDeg       float64 `json:"streak_deg"`
		StreakCoherence float64 `json:"streak_coherence"`
	}
}

// check runs the command itself on one photo.
func check(path string, options ...string) (photo, error) {
	cmd := exec.Command("build/evenhide", append(append([]string{"check", "--json"}, options...), path)...)
	out, err := cmd.Output()
	var exit *exec.ExitError
	if err != nil && !(errors.As(err, &exit) && len(out) > 0) {
		return photo{}, fmt.Errorf("%v: %w", cmd.Args, err)
	}
	var result struct{ Photos []photo }
	if err := json.Unmarshal(out, &result); err != nil || len(result.Photos) != 1 {
		return photo{}, fmt.Errorf("%v printed no result: %w", cmd.Args, err)
	}
	return result.Photos[0], nil
}
